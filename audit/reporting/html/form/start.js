// Starting, and moving between views

function route() {
  document.activeElement?.blur?.();
  draftAnswers();
  shown = null;
  const place = location.hash.replace(/^#\/?/, "");
  if (place === "export") return showExport();
  outcome = "";
  const device = /^\d+$/.test(place) ? devices[Number(place)] : undefined;
  return device ? showDevice(device) : showList();
}

function otherTab(event) {
  if (event.key !== null && !event.key.startsWith(formKey)) return;
  const before = shown?.fields.map((field) => newest(field.device, field.setting));
  if (event.newValue === null) dropped(event.key);
  load();
  if (!byId("list").hidden) drawAll();
  else if (!byId("export").hidden) showExport();
  else if (shown) {
    shown.fields.forEach((field, i) => newest(field.device, field.setting) === before[i] || isInUse(field) || refresh(field));
    shown.fields[0].changed();
  }
}

// Entries that were deleted in another tab would otherwise come back with the next one made here.
function dropped(key) {
  const device = devices.find((one) => keyOf(one) === key);
  if (device && !unsaved.has(device.index)) entries[device.index] = [];
}

// What a person is typing, or has typed and not yet kept, is not redrawn.
function isInUse(field) {
  return field.box.contains(document.activeElement) || field.again || isDraft(field);
}

function listen() {
  addEventListener("hashchange", route);
  addEventListener("storage", otherTab);
  document.addEventListener("visibilitychange", () => document.hidden && keepDrafts());
  addEventListener("pagehide", keepDrafts); // Safari before 14.5 does not count a page that is left as hidden
  addEventListener("beforeunload", (event) => {
    if (unsavedCount() && notExported()) event.returnValue = "unsaved"; // Chromium before 119 needs a value
  });
  byId("reader").addEventListener("change", () => {
    kept.reader = byId("reader").value.trim();
    saveForm();
    drawWho();
    byId("who-wants").textContent = wanting();
  });
  for (const one of markButtons()) one.addEventListener("click", () => {
    kept.mark = one.dataset.mark;
    saveForm();
    drawWho();
    byId("who-wants").textContent = wanting();
  });
  let timer = 0;
  byId("search").addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(drawList, 120); });
  byId("network").addEventListener("change", drawList);
  byId("export-file").addEventListener("click", exportFile);
  byId("share").addEventListener("click", share);
  byId("copy").addEventListener("click", copy);
  byId("ask-delete").addEventListener("click", askDelete);
  byId("export-first").addEventListener("click", () => { byId("sure").close(); exportFile(); });
  byId("keep").addEventListener("click", () => byId("sure").close());
  byId("really-delete").addEventListener("click", deleteAll);
}

function begin() {
  load();
  loadDrafts();
  const names = plan.networks.map((name) => el("option", { value: name }, clean(name)));
  for (const part of [byId("network"), byId("network").labels[0]]) part.hidden = names.length < 2;
  byId("network").replaceChildren(el("option", { value: "" }, "All networks"), ...names);
  byId("app").hidden = false;
  saveForm();
  listen();
  route();
}

begin();

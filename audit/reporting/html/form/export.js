// Export

function fileName(ending) {
  const part = (text) => text.normalize("NFKD").replace(/[^A-Za-z0-9]+/g, "-").replace(/^-+|-+$/g, "").slice(0, 40).toLowerCase();
  const stamp = now().slice(0, 19).replace(/[-:]/g, "").replace("T", "-");
  return [part(plan.site), part(plan.revision), part(kept.reader), stamp].filter(Boolean).join("_") + ending;
}

function download(content, name) {
  const address = URL.createObjectURL(new Blob([content], { type: "application/jsonl" }));
  const link = el("a", { href: address, download: name, hidden: true });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
}

function exportFile() {
  const name = fileName(".jsonl");
  download(ownLines(), name);
  exported(`Passed to the browser to save as ${name}. Check that the file is there before you delete anything.`);
}

function exported(message) {
  kept.exported = entryCount();
  saveForm();
  outcome = message;
  if (location.hash === "#/export") showExport();
  else location.hash = "#/export";
}
let outcome = "";

// Some browsers only share files with endings that they know, such as .txt.
function shareable() {
  const file = new File([ownLines()], fileName(".jsonl.txt"), { type: "text/plain" });
  return navigator.canShare?.({ files: [file] }) ? file : null;
}

async function share() {
  const file = shareable();
  try {
    await navigator.share({ files: [file], title: file.name });
    exported(`Shared as ${file.name}.`);
  } catch (error) {
    const why = "This browser cannot share the file. Export it, or copy it as text.";
    byId("export-done").textContent = error.name === "AbortError" ? "Not shared." : why;
  }
}

async function copy() {
  const box = byId("text");
  let done;
  try {
    await navigator.clipboard.writeText(box.value);
    done = true;
  } catch {
    box.select();
    done = document.execCommand("copy");
  }
  byId("copied").textContent = done ? "Copied." : "This browser cannot copy the text. Select it and copy it by hand.";
}

function showExport() {
  const count = entryCount();
  const fresh = notExported();
  const told = `${entriesOf(count)}, ${fresh ? `${fresh} not exported yet` : "all exported"}.`;
  byId("export-told").textContent = count ? told : "Nothing was entered yet.";
  byId("export-done").textContent = outcome;
  byId("copied").textContent = "";
  for (const id of ["export-file", "copy", "ask-delete"]) byId(id).disabled = !count;
  byId("share").hidden = !shareable();
  byId("share").disabled = !count;
  byId("text").value = ownLines() + [...damaged.values()].join("\n");
  drawOthers();
  show("export", "Entries");
}

// Entries that other forms have left in this browser: another revision of the plan has another form.
function drawOthers() {
  const others = new Map();
  for (const record of records()) {
    const key = JSON.stringify(record.form);
    if (key !== JSON.stringify(form)) others.set(key, [...(others.get(key) ?? []), record]);
  }
  byId("others").hidden = !others.size;
  byId("others").querySelector("ul").replaceChildren(...[...others.values()].map(otherForm));
}

function otherForm(all) {
  const [site, revision, digest] = all[0].form;
  const count = all.reduce((sum, record) => sum + record.entries.length, 0);
  const title = revision ? `${site}, revision ${revision}` : site;
  const give = () => download(linesIn(all, site, revision), `other-form_${now().slice(0, 10)}_${digest}.jsonl`);
  return el("li", {}, el("p", {}, text(title), `: ${entriesOf(count)}`), button("Export these", give));
}

function records() {
  const keys = Object.keys(storage() ?? {}).filter((key) => key.startsWith("asfound form ")).sort();
  return keys.map((key) => parsed(stored(key))).filter(isRecord);
}

function isRecord(one) {
  const entries = one?.entries;
  return Array.isArray(one?.form) && Array.isArray(entries) && entries.length > 0 && entries.every(isEntry);
}

function askDelete() {
  load();
  const count = entryCount();
  const fresh = notExported();
  const none = "All of them were exported; check that the file is there.";
  const lost = fresh ? `${fresh} of them ${fresh === 1 ? "was" : "were"} not exported.` : none;
  const told = `${entriesOf(count)} of this form will be deleted. ${lost}`;
  if (!byId("sure").showModal) { // Safari before 15.4, Firefox before 98: the browser asks
    if (confirm(`${told} Delete them?`)) deleteAll();
    return;
  }
  byId("sure-told").textContent = told;
  byId("really-delete").textContent = fresh ? "Delete without export" : "Delete";
  byId("sure").showModal();
}

function deleteAll() {
  for (const device of devices) {
    entries[device.index] = [];
    storage()?.removeItem(keyOf(device));
  }
  unsaved.clear();
  kept.exported = 0;
  saveForm();
  byId("sure").close?.();
  outcome = "Deleted.";
  showExport();
}

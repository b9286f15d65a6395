// Drawing

function el(tag, attributes, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (value === true) made.setAttribute(name, "");
    else if (value !== false && value !== undefined) made.setAttribute(name, value);
  }
  made.append(...children.filter((child) => child !== ""));
  return made;
}

function button(words, onclick, attributes = {}) {
  return el("button", { type: "button", onclick, ...attributes }, ...[words].flat());
}

function text(words) {
  return el("span", { class: "text" }, clean(words));
}

// A sign beside words that say the same: not spoken, since “≠ differs” would be heard as “not equal to differs”.
function sign(mark) {
  return el("span", { "aria-hidden": "true" }, mark);
}

function quiet(words) {
  return el("span", { class: "quiet" }, words);
}

function show(view, title) {
  for (const id of ["list", "device", "export"]) byId(id).hidden = id !== view;
  document.title = `${title}: ${clean(plan.site)}`;
  scrollTo({ top: 0, behavior: "instant" });
  byId(view).querySelector("h1").focus({ preventScroll: true });
}

// The list of devices

function drawWho() {
  const mark = kept.mark === "," ? "decimal comma" : "decimal point";
  const told = [kept.reader && text(kept.reader), kept.mark && usesMark ? mark : ""].filter(Boolean);
  byId("who-told").replaceChildren("Who is reading: ", ...(kept.reader ? [told[0], told[1] ? `, ${told[1]}` : ""] : ["not given yet"]));
  if (document.activeElement !== byId("reader")) byId("reader").value = kept.reader; // another tab may have changed it
  byId("mark").hidden = !usesMark;
  for (const one of markButtons()) one.setAttribute("aria-pressed", String(one.dataset.mark === kept.mark));
}
function markButtons() {
  return [...byId("mark").querySelectorAll("button")];
}
const usesMark = plan.settings.some((setting) => setting.kind === "decimal");

function wanting() {
  if (!kept.reader) return "Say who is reading before you begin; the name goes with every entry.";
  return kept.mark || !usesMark ? "" : "Choose the decimal mark before you begin; it is never guessed.";
}

function drawProgress() {
  const all = devices.map(countsOf);
  const complete = all.filter(isAll).length;
  const done = all.reduce((sum, one) => sum + one.done, 0);
  const wanted = all.reduce((sum, one) => sum + one.of, 0);
  const whole = `${complete} of ${counted(devices.length, "device")} read`;
  byId("progress-told").textContent = `${whole}, ${done} of ${counted(wanted, "value")}`;
  Object.assign(byId("progress"), { max: wanted || 1, value: done });
  const count = entryCount();
  const fresh = notExported();
  byId("to-export").textContent = count ? `Export (${fresh ? `${fresh} not exported` : "all exported"})` : "Export";
}

function isInNetwork(device) {
  return !byId("network").value || device.network === byId("network").value;
}

function isSought(device) {
  const place = `${device.tag} ${device.location} ${device.serial} ${device.title}`.toLowerCase();
  return isInNetwork(device) && byId("search").value.toLowerCase().split(/\s+/).every((word) => place.includes(word));
}

function drawList() {
  const sought = devices.filter(isSought);
  const rows = [];
  let network;
  for (const device of sought) {
    if (device.network !== network && plan.networks.length > 1) rows.push(el("li", { class: "net" }, el("h3", {}, text(device.network))));
    network = device.network;
    rows.push(rowOf(device));
  }
  byId("devices").replaceChildren(...rows);
  byId("found").textContent = sought.length === devices.length ? "" : `${sought.length} of ${devices.length} shown`;
}

function placeOf(device) {
  return [device.location, device.title].filter(Boolean).join(" · ");
}

function rowOf(device) {
  const counts = countsOf(device);
  const differ = ` ${counted(counts.differ, "differs", "differ")} from the plan`;
  const stuck = draftsAt(device);
  return el("li", {}, el("a", { href: `#/${device.index}` },
    el("b", {}, text(device.tag)),
    el("span", { class: isAll(counts) ? "all" : "" }, toldCounts(counts)),
    el("span", { class: "place" }, text(placeOf(device))),
    counts.differ ? el("span", { class: "differ" }, sign("≠"), differ) : "",
    stuck ? el("span", { class: "differ" }, `${counted(stuck, "text")} typed and not kept`) : ""));
}

function drawAll() {
  drawWho();
  drawProgress();
  drawList();
}

function showList() {
  byId("who").open = wanting() !== "";
  drawAll();
  show("list", "Readback form");
}

// The offline form: enter what a device shows, see after entry where it differs from the plan, export.
// No planned value is ever shown. All that is computed here is whether two numbers agree within a step of the
// display. The likely slip behind a differing value was worked out when the form was made.
"use strict";

const plan = JSON.parse(document.getElementById("plan").textContent);
const byId = (id) => document.getElementById(id);

// What is asked of every device in addition to its settings
const SERIAL = { name: "serial", title: "Serial number", kind: "text", at: "label" };
const REMARK = { kind: "text", optional: true, remark: true };
const PHOTO = { ...REMARK, name: "photo", title: "Photo", hint: "file name of a photo of the display" };
const NOTE = { ...REMARK, name: "note", title: "Note", hint: "anything worth saying; no access codes" };

const devices = plan.devices.map(([network, tag, type, location, serial, expected], index) => ({
  index, tag, location, serial, spelt: spelling(serial),
  network: plan.networks[network],
  title: plan.types[type].title,
  elsewhere: plan.types[type].elsewhere,
  asked: [SERIAL, ...plan.types[type].settings.map((i) => plan.settings[i]), PHOTO, NOTE],
  expected: Object.fromEntries(plan.types[type].settings.map((i, n) => [plan.settings[i].name, plan.expected[expected[n]]])),
}));

// Texts

// Control and direction-changing characters become escapes: tags come from files that anybody may have made.
function clean(text) {
  return text.replace(/[\p{Cc}\p{Cf}\p{Cs}\p{Co}\p{Zl}\p{Zp}]/gu, (c) => "\\u" + c.codePointAt(0).toString(16).padStart(4, "0"));
}

// Plain minus signs and single blanks, as `asfound check` will read them.
function tidied(text) {
  return text.replace(/[−–‑]/g, "-").split(/\s+/).filter(Boolean).join(" ");
}

// An identifier without case, punctuation or leading zeros: two that agree here name one device.
function spelling(text) {
  const parts = text.trim().replace(/^(\d+)[.,]0+$/, "$1").toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? [];
  const joined = parts.reduce((all, part) => all + (/\d$/.test(all) && /^\d/.test(part) ? "-" : "") + part, "");
  return joined.replace(/\d+/g, (number) => number.replace(/^0+(?=\d)/, ""));
}

function counted(number, word, words = `${word}s`) {
  return `${number} ${number === 1 ? word : words}`;
}

function entriesOf(number) {
  return counted(number, "entry", "entries");
}

function sentence(words) {
  const begun = words.charAt(0).toUpperCase() + words.slice(1);
  return !begun || begun.endsWith(".") ? begun : `${begun}.`;
}

function timeOf(entry) {
  return entry.read_at.slice(11, 16);
}

function words(setting) {
  return setting.name.replaceAll("_", " ");
}

function titleOf(setting) {
  if (setting.code) return "Factory code refused?";
  return clean(setting.title || setting.label || words(setting));
}

// Numbers: as texts of digits, so that steps of 0.1 compare exactly

// 08,50 with a decimal comma is 8.5; null if the text is not a number.
function canonical(text, mark) {
  const found = (mark === "," ? /^([-+]?)(\d*)(?:,(\d*))?$/ : /^([-+]?)(\d*)(?:\.(\d*))?$/).exec(text);
  if (!found || !(found[2] || found[3])) return null;
  const whole = found[2].replace(/^0+(?=\d)/, "") || "0";
  const part = (found[3] || "").replace(/0+$/, "");
  const number = part ? `${whole}.${part}` : whole;
  return found[1] === "-" && number !== "0" ? "-" + number : number;
}

function places(number) {
  return (number.split(".")[1] || "").length;
}

// A canonical number times ten to the power of `digits`, as a whole number.
function scaled(number, digits) {
  const [whole, part = ""] = number.split(".");
  return BigInt(whole + part.padEnd(digits, "0"));
}

function together(...numbers) {
  const digits = Math.max(...numbers.map(places));
  return numbers.map((number) => scaled(number, digits));
}

function below(one, other) {
  const [a, b] = together(one, other);
  return a < b;
}

function isWithin(number, [first, last]) {
  return !below(number, first) && !below(last, number);
}

function apart(one, other) {
  const [a, b] = together(one, other);
  const digits = Math.max(places(one), places(other));
  return { by: a < b ? b - a : a - b, digits };
}

// Decimals less than a step of the display apart are the same.
function sameNumber(one, other, setting) {
  if (setting.kind === "integer") return one === other;
  const { by, digits } = apart(one, other);
  const wider = Math.max(digits, places(setting.step));
  return by * 10n ** BigInt(wider - digits) < scaled(setting.step, wider);
}

function onStep(number, setting) {
  if (!setting.step) return true;
  return [setting.low, "0"].filter(Boolean).some((from) => {
    const [value, start, step] = together(number, from, setting.step);
    return (value - start) % step === 0n;
  });
}

// Judging an entered text

function isNumber(setting) {
  return setting.kind === "integer" || setting.kind === "decimal";
}

function withMark(number) {
  return kept.mark === "," ? number.replace(".", ",") : number;
}

// Whether a text has a word for an access code and a number: codes are never saved.
function mayHoldCode(text) {
  return /\d{3}/.test(text) && text.toLowerCase().split(/[\W_]+/).some((word) => plan.codes.includes(word));
}
// A text setting of any length may well be a reference to where a code is kept.
function isReference(setting, text) {
  if (setting.remark) return false;
  return setting.options?.includes(text) || (setting.kind === "text" && (!setting.digits || setting.digits === text.length));
}
const CODE_REFUSED = "It may contain an access code, and codes are never saved. Write it without the number.";

// Whether 812.500 may also be 812500: the display shows fewer than three places.
function mayBeThousands(setting, text) {
  const shown = setting.kind === "decimal" ? places(setting.step) : 0;
  return shown < 3 && /^[-+]?(?!0+[.,])\d{1,3}[.,]\d{3}$/.test(text);
}

// Why a text cannot be kept at all: it is not a value of this kind of setting.
function refused(setting, text, unit) {
  if (!isReference(setting, text) && mayHoldCode(text)) return CODE_REFUSED;
  if (plan.blanks.includes(tidied(text).toLowerCase())) return "That means “not read”. Leave the setting out, and say why.";
  if (isNumber(setting) && !unit && text.endsWith("0") && mayBeThousands(setting, text))
    return "Three places may be taken for thousands when the file is read. Leave out the zero at the end.";
  if (!isNumber(setting) || canonical(text, kept.mark) !== null) return "";
  const [declared, typed, other] = kept.mark === "," ? ["comma", "point", "."] : ["point", "comma", ","];
  if (canonical(text, other) !== null)
    return `It has a ${typed}, but the decimal mark is declared as a ${declared}. Type a ${declared}, or change the mark under “Who is reading”.`;
  return "That is not a number. Type digits only; if the display shows none, leave the setting out and say why.";
}

// Why a device of this type should not show a text. A person who does see it can say so.
function doubtful(setting, text, unit) {
  if (setting.options && setting.kind === "option" && !setting.options.includes(text))
    return "This device type has no such option.";
  if (setting.digits && setting.kind === "text" && text.length !== setting.digits)
    return `The display shows ${counted(setting.digits, "character")}, and this has ${text.length}; leading zeros count.`;
  if (!isNumber(setting) || unit) return "";
  const number = canonical(text, kept.mark);
  if (setting.kind === "integer" && places(number)) return "It is shown as a whole number.";
  if (setting.low && below(number, setting.low)) return `It cannot be set below ${withMark(setting.low)}.`;
  if (setting.high && below(setting.high, number)) return `It cannot be set above ${withMark(setting.high)}.`;
  if (!onStep(number, setting)) return `The display shows steps of ${withMark(setting.step)}.`;
  const digits = text.replace(/\D/g, "").length;
  if (setting.kind === "integer" && setting.digits && digits > setting.digits)
    return `The display shows ${counted(setting.digits, "digit")}, and this has ${digits}.`;
  return "";
}

// Null if an entry agrees with the plan; else its likely slip in words, empty if none is known.
// A number in another unit is not compared here; the check converts it.
function difference(device, setting, entry) {
  if (setting === SERIAL) return serialDifference(device, spelling(entry.value));
  const expected = device.expected[setting.name];
  if (!expected || entry.unit) return null;
  const [wanted, table] = expected;
  const mark = entry.value.includes(",") ? "," : ".";
  const value = isNumber(setting) ? canonical(entry.value, mark) : meant(setting, tidied(entry.value));
  if (isNumber(setting) ? sameNumber(value, wanted, setting) : value === wanted) return null;
  const said = plan.tables[table].find(([, values, runs]) => values.includes(value) || runs.some((run) => isWithin(value, run)));
  return said ? plan.words[said[0]] : "";
}

// The option that a text means: capitals do not matter, nor does the unit after it.
function meant(setting, text) {
  if (setting.kind !== "option") return text;
  const folded = text.toLowerCase();
  const is = (option) => [option, `${option} ${setting.unit}`].some((one) => one.toLowerCase() === folded);
  return setting.options.includes(text) ? text : setting.options.find(is) ?? text;
}

function serialDifference(device, serial) {
  if (!device.serial || serial === device.spelt) return null;
  const other = devices.find((one) => one.serial && one.spelt === serial);
  return other ? `It is the one planned for ${clean(other.tag)} in ${clean(other.network)}.` : "";
}

function hintOf(setting) {
  if (setting.hint) return setting.hint;
  const parts = [];
  if (setting.kind === "option" && setting.unit) parts.push(`in ${clean(setting.unit)}`);
  if (setting.kind === "integer") parts.push("whole number");
  if (setting.low && setting.high) parts.push(`${withMark(setting.low)} to ${withMark(setting.high)}`);
  else if (setting.low) parts.push(`${withMark(setting.low)} or more`);
  else if (setting.high) parts.push(`${withMark(setting.high)} or less`);
  if (setting.step && setting.kind === "decimal") parts.push(`steps of ${withMark(setting.step)}`);
  if (setting.digits) parts.push(`${setting.kind === "text" ? "" : "up to "}${counted(setting.digits, setting.kind === "text" ? "character" : "digit")}`);
  if (setting.optional) parts.push("if it is shown");
  return parts.join(", ");
}

// What is kept in the browser: a record for each device, and one for the form. Other forms have other keys.

const form = [plan.site, plan.revision, plan.digest];
const formKey = `asfound form ${JSON.stringify(form)}`;
const kept = { reader: "", mark: "", exported: 0 };
const entries = devices.map(() => []);
const unsaved = new Set();

function keyOf(device) {
  return `${formKey} ${JSON.stringify([device.network, device.tag])}`;
}

function storage() {
  try {
    return window.localStorage;
  } catch {
    return null;
  }
}

function stored(key) {
  try {
    return storage()?.getItem(key) ?? null;
  } catch {
    return null;
  }
}

function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function isEntry(one) {
  return ["setting", "value", "unit", "read_at", "read_by"].every((part) => typeof one?.[part] === "string");
}

// The entries of a record. One that cannot be read is put aside, never overwritten.
function entriesIn(key) {
  const text = stored(key);
  if (text === null) return [];
  const list = parsed(text)?.entries;
  if (Array.isArray(list) && list.every(isEntry)) return list;
  damaged.set(key, text);
  try {
    storage().setItem(`${key} damaged ${Date.now()}`, text);
  } catch {
    // It stays in `damaged`, and is shown with the entries as text.
  }
  return [];
}
const damaged = new Map();

function load() {
  Object.assign(kept, parsed(stored(formKey))?.kept);
  for (const device of devices) entries[device.index] = joined(entries[device.index], entriesIn(keyOf(device)));
  kept.exported = Math.min(kept.exported, entryCount()); // some may have been exported and never kept
}

// Entries of this page and of the store: another tab may have added some.
function joined(here, there) {
  const known = new Set(here.map((one) => JSON.stringify(one)));
  const more = there.filter((one) => !known.has(JSON.stringify(one)));
  return more.length ? [...here, ...more].sort((a, b) => Date.parse(a.read_at) - Date.parse(b.read_at)) : here;
}

function write(key, record) {
  try {
    storage().setItem(key, JSON.stringify({ form, ...record }));
    return true;
  } catch {
    return false;
  }
}

function save(device) {
  unsaved.add(device.index);
  for (const index of [...unsaved]) {
    const { network, tag } = devices[index];
    const key = keyOf(devices[index]);
    entries[index] = joined(entries[index], entriesIn(key));
    if (write(key, { network, tag, entries: entries[index] })) unsaved.delete(index);
  }
  tellTrouble();
}

function saveForm() {
  formUnsaved = !write(formKey, { kept });
  tellTrouble();
}
let formUnsaved = false;

function tellTrouble() {
  const told = notKept();
  if (damaged.size) told.push(el("p", {}, "Part of what was kept is damaged. It was put aside, and is shown under “Copy as text”."));
  byId("trouble").replaceChildren(...(told.length ? [el("div", {}, ...told)] : []));
}

function notKept() {
  const count = unsavedCount();
  if (!formUnsaved && !count && storage()) return [];
  const full = "This browser’s storage is full or refuses to keep entries.";
  const none = "This browser keeps nothing for this page: its storage is not available.";
  const why = `${storage() ? full : none} Entries are lost when the page closes.`;
  if (!count) return [el("p", {}, `${why} Export before you close it.`)];
  if (!notExported()) return [el("p", {}, `${why} All of them were exported.`)];
  return [el("p", {}, `${why} ${entriesOf(count)} not kept: export now.`), button("Export now", exportFile, { class: "firm" })];
}

function unsavedCount() {
  return [...unsaved].reduce((sum, index) => sum + entries[index].length, 0);
}

// Entries

function now(date = new Date()) {
  const offset = -date.getTimezoneOffset();
  const local = new Date(date.getTime() + offset * 60000).toISOString().slice(0, -1);
  const [hours, minutes] = [Math.floor(Math.abs(offset) / 60), Math.abs(offset) % 60].map((n) => String(n).padStart(2, "0"));
  return `${local}${offset < 0 ? "-" : "+"}${hours}:${minutes}`;
}

// Later than what was entered before for the same setting, even if the clock was set back: the newest one counts.
function add(device, setting, entry) {
  const last = newest(device, setting);
  const at = now(new Date(Math.max(Date.now(), last ? Date.parse(last.read_at) + 1 : 0)));
  entries[device.index].push({ setting: setting.name, unit: "", read_at: at, read_by: kept.reader, ...entry });
  save(device);
}

function of(device, setting) {
  return entries[device.index].filter((entry) => entry.setting === setting.name);
}

function isSkip(entry) {
  return entry.skipped !== undefined;
}

function newest(device, setting) {
  return of(device, setting).at(-1);
}

// The readings since the setting was last left out: those that count.
function readings(device, setting) {
  const all = of(device, setting);
  return all.slice(all.findLastIndex(isSkip) + 1);
}

function linesOf(record, site, revision) {
  const counts = {};
  return record.entries.map((entry) => {
    const before = counts[entry.setting] ?? 0;
    if (!isSkip(entry)) counts[entry.setting] = before + 1;
    const line = {
      asfound: "entry/1", site, plan_revision: revision, network: record.network, tag: record.tag,
      setting: entry.setting, value: entry.value, unit: entry.unit, read_at: entry.read_at,
      read_by: entry.read_by, read_how: entry.setting === "serial" ? "on the label" : "at the display",
      reading: before + 1, ...(isSkip(entry) && { skipped: entry.skipped }),
    };
    return { at: Date.parse(entry.read_at), text: JSON.stringify(line) + "\n" };
  });
}

// All entries in the order in which they were made, one to a line.
function linesIn(records, site, revision) {
  const lines = records.flatMap((record) => linesOf(record, site, revision));
  return lines.sort((a, b) => a.at - b.at).map((line) => line.text).join("");
}

function ownLines() {
  return linesIn(devices.map((device) => ({ ...device, entries: entries[device.index] })), plan.site, plan.revision);
}

function entryCount() {
  return entries.reduce((sum, list) => sum + list.length, 0);
}

function notExported() {
  return Math.max(0, entryCount() - kept.exported);
}

// Progress

// How many settings of a device are done, left out, and differ. Counted again when entries have been added.
function countsOf(device) {
  const known = counts[device.index];
  const list = entries[device.index];
  if (known?.list === list && known.length === list.length) return known;
  const newestOf = new Map(list.map((entry) => [entry.setting, entry]));
  const made = { list, length: list.length, of: 0, done: 0, out: 0, differ: 0 };
  for (const setting of device.asked) {
    const entry = newestOf.get(setting.name);
    made.of += !setting.optional;
    if (!entry) continue;
    made.done += !setting.optional;
    made.out += !setting.optional && isSkip(entry);
    made.differ += !isSkip(entry) && difference(device, setting, entry) !== null;
  }
  counts[device.index] = made;
  return made;
}
const counts = [];

function isAll(counts) {
  return counts.done === counts.of;
}

function toldCounts({ of: all, done, out }) {
  return `${done === all ? `✓ all ${all}` : `${done} of ${all}`}${out ? `, ${out} left out` : ""}`;
}

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
    if (device.network !== network && plan.networks.length > 1) rows.push(el("li", { class: "net" }, text(device.network)));
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
  const differ = `≠ ${counted(counts.differ, "differs", "differ")} from the plan`;
  const stuck = draftsAt(device);
  return el("li", {}, el("a", { href: `#/${device.index}` },
    el("b", {}, text(device.tag)),
    el("span", { class: isAll(counts) ? "all" : "" }, toldCounts(counts)),
    el("span", { class: "place" }, text(placeOf(device))),
    counts.differ ? el("span", { class: "differ" }, differ) : "",
    stuck ? el("span", { class: "differ" }, `${counted(stuck, "value")} typed and not kept`) : ""));
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

// A device

function showDevice(device) {
  const lack = wanting();
  if (lack) {
    showList();
    byId("who").open = true;
    byId("who-wants").textContent = lack;
    (kept.reader ? markButtons()[0] : byId("reader")).focus();
    return;
  }
  const told = el("span", { class: "told", role: "status" });
  const fields = device.asked.map((setting) => fieldOf(device, setting));
  const refreshAll = () => {
    told.textContent = toldCounts(countsOf(device));
    drawNext(device, fields, next);
  };
  for (const field of fields) field.changed = refreshAll;
  const next = button("", () => {}, { class: "firm" });
  byId("device").replaceChildren(
    el("div", { class: "head" },
      el("a", { class: "back", href: "#/" }, "All devices"),
      el("p", {}, el("b", {}, text(device.tag)), told)),
    el("p", { class: "over" }, text(device.network)),
    el("h1", { tabindex: "-1" }, text(device.tag)),
    el("p", { class: "facts" }, text(placeOf(device))),
    ...fields.map((field) => field.box),
    elsewhereOf(device),
    el("div", { class: "bar" }, next));
  shown = { device, fields };
  for (const field of fields) refresh(field);
  for (const field of fields) redraft(field);
  refreshAll();
  show("device", clean(device.tag));
}
let shown = null;

// What the plan wants read but this form does not ask for.
function elsewhereOf({ elsewhere }) {
  if (!elsewhere.length) return "";
  const one = elsewhere.length === 1;
  return el("p", { class: "soft elsewhere" }, `${elsewhere.length} ${one ? "setting is" : "settings are"} not asked for here: `, text(elsewhere.join(", ")), ". A sheet or ",
    el("code", {}, "asfound enter"), ` asks for ${one ? "it" : "them"}.`);
}

// The button at the foot: what was typed and not kept, the next value to read, or the next device when all are read.
function drawNext(device, fields, foot) {
  const stuck = fields.find((field) => drafts.has(draftOf(field)));
  const open = stuck ?? fields.find((field) => !field.setting.optional && !newest(device, field.setting));
  const after = open ? undefined : nextDevice(device);
  if (stuck) foot.textContent = `Not kept: ${titleOf(stuck.setting)}`;
  else if (open) foot.textContent = `Next to read: ${titleOf(open.setting)}`;
  else {
    const all = device.elsewhere.length ? "All read here" : "All read";
    foot.textContent = after ? `${all}. Next device: ${clean(after.tag)}` : `${all}. All devices`;
  }
  foot.onclick = () => {
    if (open) goTo(open);
    else location.hash = after ? `#/${after.index}` : "#/";
  };
}

// The next device in the chosen network that is not fully read; after the last one, the search begins again.
function nextDevice(device) {
  const others = [...devices.slice(device.index + 1), ...devices.slice(0, device.index)];
  return others.find((one) => isInNetwork(one) && !isAll(countsOf(one)));
}

// Options do not get the focus: a key held a moment too long would press the first of them.
function goTo(field) {
  (field.input ?? field.box).focus({ preventScroll: true });
  field.box.scrollIntoView({ block: "start" });
}

function afterIt(field) {
  const next = shown.fields[shown.fields.indexOf(field) + 1];
  if (next) goTo(next);
  else document.activeElement.blur();
}

// A field: one setting of one device, with all that is on the page for it

function fieldOf(device, setting) {
  const id = `f-${setting.name}`;
  const field = { device, setting, id, again: false, handled: "", changed: () => {} };
  field.state = el("span", { class: "state" });
  field.said = el("div", { class: "said", role: "status" });
  field.list = el("p", { class: "readings" });
  field.out = el("div", { class: "out" });
  field.input = choicesOf(setting) ? null : inputOf(field);
  field.box = el("section", { class: "field", tabindex: "-1", "aria-labelledby": `${id}-h` },
    el("h2", { class: "name" }, nameOf(setting, `${id}-h`), field.state),
    whereOf(setting),
    choicesOf(setting) ? optionsOf(field) : entryOf(field),
    field.said, field.list,
    el("div", { class: "under" }, el("p", { class: "hint", id: `${id}-hint` }, hintOf(setting)), field.out));
  return field;
}

// What the display calls a setting, then its name in words, unless that is the same.
function nameOf(setting, id) {
  const title = el("b", { class: "text" }, titleOf(setting));
  const same = !setting.label || setting.code || setting.label.toLowerCase() === words(setting);
  return el("span", { id }, title, same ? "" : el("span", { class: "words" }, ` ${words(setting)}`));
}

function whereOf(setting) {
  const place = { label: "on the label", gateway: "at the gateway" }[setting.at];
  const parts = [setting.where && el("b", {}, text(setting.where)), place].filter(Boolean);
  return parts.length ? el("p", { class: "where" }, ...parts.flatMap((part, i) => (i ? [", ", part] : [part]))) : "";
}

function choicesOf(setting) {
  if (setting.kind === "flag") return ["on", "off"];
  return setting.options;
}

function optionsOf(field) {
  const { setting } = field;
  field.options = choicesOf(setting).map((option) =>
    button(text(option), () => enter(field, option), { "aria-pressed": "false", "data-option": option }));
  const named = { "aria-labelledby": `${field.id}-h`, "aria-describedby": `${field.id}-hint` };
  return el("div", { class: "options", role: "group", ...named }, ...field.options);
}

function inputOf(field) {
  const { setting } = field;
  return el("input", {
    type: "text", id: field.id, maxlength: "1000",
    autocomplete: "off", autocapitalize: "off", autocorrect: "off", spellcheck: "false",
    inputmode: { integer: "numeric", decimal: "decimal" }[setting.kind] ?? "text", enterkeyhint: "next",
    "aria-labelledby": `${field.id}-h`, "aria-describedby": `${field.id}-hint` + (setting.unit ? ` ${field.id}-unit` : ""),
    onchange: () => field.input.value === field.handled || enter(field, field.input.value),
    onkeydown: (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      if (enter(field, field.input.value)) afterIt(field);
    },
  });
}

function entryOf(field) {
  const { setting, input } = field;
  return el("div", { class: "entry" }, setting.signed ? signOf(field) : "", input, setting.unit ? unitOf(field) : "");
}

// Number keyboards of some phones have no minus sign.
function signOf({ setting, input }) {
  const turn = () => {
    input.value = input.value.startsWith("-") ? input.value.slice(1) : `-${input.value}`;
    input.focus();
  };
  const named = { "aria-label": `Sign of ${titleOf(setting)}: plus or minus` };
  return button("±", turn, { ...named, onpointerdown: (event) => event.preventDefault() });
}

function unitOf(field) {
  const { setting } = field;
  if (!setting.units) return el("span", { class: "unit", id: `${field.id}-unit` }, clean(setting.unit));
  const options = [setting.unit, ...setting.units].map((unit) =>
    el("option", { value: unit === setting.unit ? "" : unit }, clean(unit)));
  const named = { class: "unit", id: `${field.id}-unit`, "aria-label": `Unit of ${titleOf(setting)}` };
  field.unit = el("select", { ...named, onchange: () => {
    field.input.value = field.handled = ""; // or the same figure in another unit would count as entered
    forget(field);
    say(field, `Type the value as the display shows it, in ${clean(field.unit.value || setting.unit)}.`);
    field.input.focus();
  } }, ...options);
  return field.unit;
}

// Enter a text for a field. Returns whether to go on: it was kept, and needs no second look.
function enter(field, typed, sure = false) {
  const { device, setting } = field;
  const value = typed.trim();
  const unit = field.unit?.value ?? "";
  const last = newest(device, setting);
  field.handled = typed; // or leaving the input would enter it again, and redraw what is being pressed
  forget(field);
  if (!value) return emptied(field, last);
  if (!field.again && last && !isSkip(last) && last.value === value && last.unit === unit) {
    refresh(field);
    return true;
  }
  const no = refused(setting, value, unit);
  if (no) return complain(field, no, null);
  const doubt = sure ? "" : doubtful(setting, value, unit);
  if (doubt) return complain(field, doubt, () => enter(field, typed, true) && afterIt(field));
  add(device, setting, { value, unit });
  field.again = false;
  refresh(field);
  field.changed();
  return difference(device, setting, newest(device, setting)) === null;
}

// An emptied input withdraws nothing: what was read stays read.
function emptied(field, last) {
  if (last && !isSkip(last) && !field.again) {
    refresh(field);
    say(field, "The reading stands. To withdraw it, leave the setting out.");
  }
  return true;
}

function complain(field, message, certain) {
  field.input?.setAttribute("aria-invalid", "true");
  if (field.input) drafts.set(draftOf(field), { value: field.input.value, unit: field.unit?.value });
  field.said.replaceChildren(el("div", { class: "wrong" }, el("p", {}, el("b", {}, "Not kept. "), message),
    certain ? button("The display does show this", certain) : ""));
  field.changed();
  return false;
}

// What was typed and not kept, so that it is still there when the person comes back to the device
const drafts = new Map();

function draftOf(field) {
  return `${field.device.index} ${field.id}`;
}

function draftsAt(device) {
  return [...drafts.keys()].filter((key) => key.startsWith(`${device.index} `)).length;
}

function forget(field) {
  if (!drafts.delete(draftOf(field))) return;
  field.said.replaceChildren();
  field.input.removeAttribute("aria-invalid");
  field.changed();
}

function redraft(field) {
  const draft = drafts.get(draftOf(field));
  if (!draft) return;
  field.input.value = draft.value;
  if (field.unit) field.unit.value = draft.unit;
  enter(field, draft.value);
}

function say(field, message) {
  field.said.replaceChildren(el("p", { class: "hint" }, message));
}

function readAgain(field) {
  field.again = true;
  forget(field);
  const told = field.input ? "type" : "press";
  field.handled = "";
  if (field.input) field.input.value = "";
  for (const button of field.options ?? []) button.setAttribute("aria-pressed", "false");
  say(field, `Look again, and ${told} what is shown now. Both readings are kept.`);
  (field.input ?? field.box).focus();
}

// Draw what is known of a field: its value, its state, the flag, its readings.
function refresh(field) {
  const { device, setting } = field;
  const last = newest(device, setting);
  const value = last && !isSkip(last) ? last.value : "";
  if (field.input) {
    field.input.value = field.handled = value;
    field.input.removeAttribute("aria-invalid");
    if (field.unit) field.unit.value = last && !isSkip(last) ? last.unit : "";
  }
  for (const button of field.options ?? []) button.setAttribute("aria-pressed", String(button.dataset.option === value));
  const differs = value === "" ? null : difference(device, setting, last);
  drawState(field, last, differs);
  drawFlag(field, differs);
  drawReadings(field);
  drawOut(field, last);
}

function stateOf(last, differs) {
  if (!last) return ["", ""];
  if (isSkip(last)) return ["left out", ""];
  return differs === null ? [`✓ ${timeOf(last)}`, "read"] : ["≠ differs", "differs"];
}

function drawState(field, last, differs) {
  const [told, kind] = stateOf(last, differs);
  field.state.textContent = told;
  field.state.className = `state ${kind}`;
}

function drawFlag(field, differs) {
  if (differs === null) return field.said.replaceChildren();
  const serial = field.setting === SERIAL;
  const wrong = serial ? "Not the serial number planned for this tag." : "Differs from the plan.";
  let ask = serial ? "Check that you are at the right device, and look again." : "Please look again.";
  if (readings(field.device, field.setting).length > 1) ask = "It was read more than once; all readings are kept.";
  return field.said.replaceChildren(el("div", { class: "flag" },
    el("p", {}, el("b", {}, `≠ ${wrong} `), [clean(sentence(differs)), ask].filter(Boolean).join(" ")),
    button("Read again", () => readAgain(field))));
}

function drawReadings(field) {
  const all = of(field.device, field.setting);
  const told = all.map((entry) => `${isSkip(entry) ? "left out" : `${entry.value} ${entry.unit}`.trim()} (${timeOf(entry)})`);
  field.list.replaceChildren(...(all.length > 1 ? ["Kept: ", text(told.join(", "))] : []));
}

// What else can be said of a setting: that it is left out, or that it shows none of the options.
function drawOut(field, last) {
  const { setting } = field;
  const skipped = last && isSkip(last);
  const leave = !skipped && (last || !setting.optional);
  const drawn = JSON.stringify([Boolean(leave), last?.skipped]);
  if (field.drawn === drawn) return; // or the press that enters a value by leaving its input would miss the button
  field.drawn = drawn;
  const also = (words, done) => button([words, el("span", { class: "quiet" }, `: ${titleOf(setting)}`)], done, { class: "plain" });
  const parts = [];
  if (skipped && last.skipped) parts.push(el("p", { class: "hint" }, "Left out: ", text(last.skipped)));
  if (leave) parts.push(also("Leave out", () => askWhy(field)));
  if (setting.kind === "option" && !setting.code) parts.push(also("Shows something else", () => askOther(field)));
  field.out.replaceChildren(...parts);
}

function askWhy(field) {
  ask(field, "Why is it left out? (no access codes)", "Leave it out", (reason) => {
    if (mayHoldCode(reason)) return say(field, CODE_REFUSED);
    forget(field);
    add(field.device, field.setting, { value: "", skipped: reason });
    field.again = false;
    refresh(field);
    field.changed();
    return afterIt(field);
  });
}

function askOther(field) {
  ask(field, "What does the display show?", "Keep it", (shows) => {
    if (shows && enter(field, shows, true)) afterIt(field);
  });
}

function ask(field, question, answer, done) {
  const id = `${field.id}-ask`;
  field.drawn = "";
  const input = el("input", { type: "text", id, maxlength: "1000", autocomplete: "off", enterkeyhint: "done" });
  const give = () => done(input.value.trim());
  input.addEventListener("keydown", (event) => event.key === "Enter" && give());
  const buttons = [button(answer, give, { class: "firm" }), button("Back", () => { refresh(field); redraft(field); })];
  field.out.replaceChildren(el("div", { class: "ask" },
    el("label", { for: id }, question), input, el("div", { class: "actions" }, ...buttons)));
  input.focus();
}

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
  byId("sure-told").textContent = `${entriesOf(count)} of this form will be deleted. ${lost}`;
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
  byId("sure").close();
  outcome = "Deleted.";
  showExport();
}

// Starting, and moving between views

function route() {
  document.activeElement?.blur?.();
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
  return field.box.contains(document.activeElement) || field.again || drafts.has(draftOf(field));
}

function listen() {
  addEventListener("hashchange", route);
  addEventListener("storage", otherTab);
  addEventListener("beforeunload", (event) => {
    if (unsavedCount() && notExported()) event.preventDefault();
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
  const names = plan.networks.map((name) => el("option", { value: name }, clean(name)));
  for (const part of [byId("network"), byId("network").labels[0]]) part.hidden = names.length < 2;
  byId("network").replaceChildren(el("option", { value: "" }, "All networks"), ...names);
  byId("app").hidden = false;
  saveForm();
  listen();
  route();
}

begin();

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

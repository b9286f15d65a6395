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
  return of(device, setting).pop();
}

// The readings since the setting was last left out: those that count.
function readings(device, setting) {
  const all = of(device, setting);
  return all.slice(all.map(isSkip).lastIndexOf(true) + 1);
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

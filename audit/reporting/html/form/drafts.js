// Drafts: what was typed and not kept. It is still there when the person comes back to the device.

const drafts = new Map();
const draftsKey = `${formKey} drafts`;

function draftOf(field) {
  return `${field.device.index} ${field.id}`;
}

function draftsAt(device) {
  return [...drafts.keys()].filter((key) => key.startsWith(`${device.index} `)).length;
}

function draft(field, unfinished = false) {
  if (field.input) drafts.set(draftOf(field), { value: field.input.value, unit: field.unit?.value, unfinished });
}

function forget(field) {
  if (!drafts.delete(draftOf(field))) return;
  field.said.replaceChildren();
  field.input.removeAttribute("aria-invalid");
  field.changed();
}

function redraft(field) {
  const its = drafts.get(draftOf(field));
  if (!its) return;
  field.input.value = its.value;
  if (field.unit) field.unit.value = its.unit;
  if (its.unfinished) say(field, "Not kept yet: the page was left while this was being typed. Finish it.");
  else enter(field, its.value);
}

// A phone may drop a page that is not looked at. Drafts are kept for this tab alone, and none that may hold a code.
function keepDrafts() {
  for (const field of shown?.fields ?? [])
    if (field.input?.value.trim() && field.input.value !== field.handled) draft(field, true);
  try {
    sessionStorage.setItem(draftsKey, JSON.stringify([...drafts].filter(([, its]) => !mayHoldCode(its.value))));
  } catch {
    // Nothing can be done for a draft that cannot be stored: the page still shows it.
  }
}

function loadDrafts() {
  try {
    for (const [key, its] of JSON.parse(sessionStorage.getItem(draftsKey) ?? "[]")) drafts.set(key, its);
  } catch {
    // Without a store there are no drafts from before.
  }
}

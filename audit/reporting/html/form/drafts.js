// Drafts: what was typed and not kept. It is still there when the person comes back to the device.

const drafts = new Map(); // values
const answers = new Map(); // what was typed for the question of a field, such as why it is left out, and not given
const draftsKey = `${formKey} drafts`;
const UNFINISHED = "Not kept yet: the page was left while this was being typed. Finish it.";

function draftOf(field) {
  return `${field.device.index} ${field.id}`;
}

function draftsAt(device) {
  return new Set([...drafts.keys(), ...answers.keys()].filter((key) => key.startsWith(`${device.index} `))).size;
}

function isDraft(field) {
  return drafts.has(draftOf(field)) || answers.has(draftOf(field));
}

function draft(field, unfinished = false) {
  if (field.input) drafts.set(draftOf(field), { value: field.input.value, unit: field.unit?.value, unfinished });
}

// Firefox calls an input changed when its page is left in the middle of typing, after it has hidden the page.
function leaveUnfinished(field) {
  draft(field, true);
  say(field, UNFINISHED);
  field.changed();
}

function forget(field) {
  if (!drafts.delete(draftOf(field))) return;
  field.said.replaceChildren();
  field.input.removeAttribute("aria-invalid");
  field.changed();
}

function redraft(field) {
  const answer = answers.get(draftOf(field));
  if (answer) {
    (answer.other ? askOther : askWhy)(field);
    field.question.input.value = answer.value;
    field.question.input.after(el("p", { class: "hint" }, UNFINISHED));
  }
  const its = drafts.get(draftOf(field));
  if (!its) return;
  field.input.value = its.value;
  if (field.unit) field.unit.value = its.unit;
  tellUnit(field);
  if (its.unfinished) say(field, UNFINISHED);
  else enter(field, its.value);
}

// The answers that stand in the questions of a device when it is left.
function draftAnswers() {
  for (const field of shown?.fields ?? []) {
    if (!field.question) continue;
    const { input, other } = field.question;
    if (input.value.trim()) answers.set(draftOf(field), { value: input.value, other });
    else answers.delete(draftOf(field));
  }
}

// A phone may drop a page that is not looked at. Drafts are kept for this tab alone, and none that may hold a code.
function keepDrafts() {
  for (const field of shown?.fields ?? [])
    if (field.input?.value.trim() && field.input.value !== field.handled) draft(field, true);
  draftAnswers();
  const storable = (those) => [...those].filter(([, its]) => !mayHoldCode(its.value));
  try {
    sessionStorage.setItem(draftsKey, JSON.stringify({ drafts: storable(drafts), answers: storable(answers) }));
  } catch {
    // Nothing can be done for a draft that cannot be stored: the page still shows it.
  }
}

function loadDrafts() {
  try {
    const before = JSON.parse(sessionStorage.getItem(draftsKey));
    for (const [key, its] of before?.drafts ?? []) drafts.set(key, its);
    for (const [key, its] of before?.answers ?? []) answers.set(key, its);
  } catch {
    // Without a store there are no drafts from before.
  }
}

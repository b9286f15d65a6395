// Entering: what becomes of a typed text, and what the page then shows of its field

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
  if (doubt) return complain(field, doubt, () => goOn(field, typed));
  add(device, setting, { value, unit });
  field.again = false;
  refresh(field);
  field.changed();
  return difference(device, setting, newest(device, setting)) === null;
}

function goOn(field, sure) {
  if (enter(field, sure, true)) afterIt(field);
  else holdFocus(field);
}

// What was pressed may be gone when its field is drawn again: a person at the keyboard stays at the field.
function holdFocus(field) {
  if (document.activeElement === document.body) field.box.focus({ preventScroll: true });
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
  draft(field);
  field.said.replaceChildren(el("div", { class: "wrong" }, el("p", {}, el("b", {}, "Not kept. "), message),
    certain ? button("The display does show this", certain) : ""));
  field.changed();
  return false;
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
  (field.input ?? field.box).focus();
  onceHeard(() => say(field, `Look again, and ${told} what is shown now. Both readings are kept.`));
}

// Take away what was pressed when the browser has told of the new focus: Orca says nothing of it if what had the
// focus before has gone already, and takes what is then typed for commands.
function onceHeard(done) {
  requestAnimationFrame(() => requestAnimationFrame(done));
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
    tellUnit(field);
  }
  for (const button of field.options ?? []) button.setAttribute("aria-pressed", String(button.dataset.option === value));
  const differs = value === "" ? null : difference(device, setting, last);
  drawState(field, last, differs);
  drawFlag(field, differs);
  drawReadings(field);
  drawOut(field, last);
}

function stateOf(last, differs) {
  if (!last) return [[], ""];
  if (isSkip(last)) return [["left out"], ""];
  return differs === null
    ? [[sign("✓"), quiet(" read"), ` ${timeOf(last)}`], "read"]
    : [[sign("≠"), " differs"], "differs"];
}

function drawState(field, last, differs) {
  const [told, kind] = stateOf(last, differs);
  field.state.replaceChildren(...told);
  field.state.className = `state ${kind}`;
}

function drawFlag(field, differs) {
  if (differs === null) return field.said.replaceChildren();
  const serial = field.setting === SERIAL;
  const wrong = serial ? "Not the serial number planned for this tag." : "Differs from the plan.";
  let ask = serial ? "Check that you are at the right device, and look again." : "Please look again.";
  if (readings(field.device, field.setting).length > 1) ask = "It was read more than once; all readings are kept.";
  return field.said.replaceChildren(el("div", { class: "flag" },
    el("p", {}, el("b", {}, sign("≠"), ` ${wrong} `), [clean(sentence(differs)), ask].filter(Boolean).join(" ")),
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
  const also = (words, done) => button([words, quiet(`: ${titleOf(setting)}`)], done, { class: "plain" });
  const parts = [];
  if (skipped && last.skipped) parts.push(el("p", { class: "hint" }, "Left out: ", text(last.skipped)));
  if (leave) parts.push(also("Leave out", () => askWhy(field)));
  if (setting.kind === "option" && !setting.code) parts.push(also("Shows something else", () => askOther(field)));
  field.out.replaceChildren(...parts);
  if (!field.question) return;
  field.question = null;
  answers.delete(draftOf(field));
  field.changed();
}

function askWhy(field) {
  ask(field, false, "Why is it left out? (no access codes)", "Leave it out", (reason) => {
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
  ask(field, true, "What does the display show?", "Keep it", (shows) => {
    if (shows) goOn(field, shows);
  });
}

// `other` tells apart what is asked, so that an answer half typed comes back under its own question.
function ask(field, other, question, answer, done) {
  const id = `${field.id}-ask`;
  field.drawn = "";
  const input = el("input", { type: "text", id, maxlength: "1000", autocomplete: "off", enterkeyhint: "done" });
  const give = () => done(input.value.trim());
  input.addEventListener("keydown", (event) => event.key === "Enter" && give());
  const buttons = [button(answer, give, { class: "firm" }), button("Back", () => { refresh(field); redraft(field); holdFocus(field); })];
  const asked = el("div", { class: "ask" },
    el("label", { for: id }, question), input, el("div", { class: "actions" }, ...buttons));
  const before = [...field.out.children];
  field.out.prepend(asked);
  field.question = { input, other };
  input.focus();
  onceHeard(() => before.forEach((part) => part.remove()));
}

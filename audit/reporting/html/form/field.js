// A field: one setting of one device, with all that is on the page for it

function fieldOf(device, setting) {
  const id = `f-${setting.name}`;
  const field = { device, setting, id, again: false, handled: "", question: null, changed: () => {} };
  field.state = el("span", { class: "state" });
  field.said = el("div", { class: "said", "aria-live": "polite", id: `${id}-said` });
  field.list = el("p", { class: "readings" });
  field.inUnit = quiet("");
  field.out = el("div", { class: "out" });
  field.input = choicesOf(setting) ? null : inputOf(field);
  const told = choicesOf(setting) ? { "aria-describedby": `${id}-hint ${id}-said` } : {}; // else the input tells it
  // A group and no region: seventeen landmarks on a page would be no help to jump by.
  field.box = el("section", { class: "field", tabindex: "-1", role: "group", "aria-labelledby": `${id}-h`, ...told },
    el("h2", { class: "name" }, nameOf(setting, `${id}-h`), field.state),
    whereOf(setting),
    choicesOf(setting) ? optionsOf(field) : entryOf(field),
    field.said, field.list,
    el("div", { class: "under" }, el("p", { class: "hint", id: `${id}-hint` }, field.inUnit, hintOf(setting)), field.out));
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
  return el("div", { class: "options" }, ...field.options);
}

function inputOf(field) {
  const { setting } = field;
  return el("input", {
    type: "text", id: field.id, maxlength: "1000",
    autocomplete: "off", autocapitalize: "off", autocorrect: "off", spellcheck: "false",
    inputmode: { integer: "numeric", decimal: "decimal" }[setting.kind] ?? "text", enterkeyhint: "next",
    "aria-labelledby": `${field.id}-h`, "aria-describedby": `${field.id}-hint ${field.id}-said`,
    onchange: () => {
      if (field.input.value === field.handled) return;
      if (document.hidden && field.input.value.trim()) leaveUnfinished(field);
      else enter(field, field.input.value);
    },
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
  if (!setting.units) return el("span", { class: "unit" }, clean(setting.unit));
  const options = [setting.unit, ...setting.units].map((unit) =>
    el("option", { value: unit === setting.unit ? "" : unit }, clean(unit)));
  const named = { class: "unit", "aria-label": `Unit of ${titleOf(setting)}` };
  field.unit = el("select", { ...named, onchange: () => {
    field.input.value = field.handled = ""; // or the same figure in another unit would count as entered
    forget(field);
    tellUnit(field);
    say(field, `Type the value as the display shows it, in ${clean(field.unit.value || setting.unit)}.`);
    field.input.focus();
  } }, ...options);
  return field.unit;
}

// The unit stands after the input, and is heard before the value is typed.
function tellUnit(field) {
  const unit = field.input && clean(field.unit?.value || field.setting.unit || "");
  field.inUnit.textContent = unit ? `in ${unit}${hintOf(field.setting) ? ", " : ""}` : "";
}

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
  const told = el("span", { class: "told", "aria-live": "polite" });
  const fields = device.asked.map((setting) => fieldOf(device, setting));
  const refreshAll = () => {
    const counts = toldCounts(countsOf(device));
    if (told.textContent !== counts) told.textContent = counts; // or it would be spoken again
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
  const stuck = fields.find((field) => isDraft(field));
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
  (field.question?.input ?? field.input ?? field.box).focus({ preventScroll: true });
  field.box.scrollIntoView({ block: "start" });
}

function afterIt(field) {
  const next = shown.fields[shown.fields.indexOf(field) + 1];
  if (next) goTo(next);
  else document.activeElement.blur();
}

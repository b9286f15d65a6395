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

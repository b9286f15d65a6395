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
  if (!setting.options?.includes(text) && plan.blanks.includes(tidied(text).toLowerCase())) return "That means “not read”. Leave the setting out, and say why.";
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

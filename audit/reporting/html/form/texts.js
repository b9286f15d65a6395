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
  const bare = text.trim().replace(/^(\d+)[.,]0+$/, "$1");
  const whole = /^\d{3,}([ -]\d{3,}){2,}$/.test(bare) ? bare.replace(/[ -]/g, "") : bare;  // 4021 1830 0101
  const parts = whole.toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? [];
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

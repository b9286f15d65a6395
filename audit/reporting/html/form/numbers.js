// Numbers: as texts of digits, so that steps of 0.1 compare exactly

// 08,50 with a decimal comma is 8.5; null if the text is not a number.
function canonical(text, mark) {
  const found = (mark === "," ? /^([-+]?)(\d*)(?:,(\d*))?$/ : /^([-+]?)(\d*)(?:\.(\d*))?$/).exec(text);
  if (!found || !(found[2] || found[3])) return null;
  const whole = found[2].replace(/^0+(?=\d)/, "") || "0";
  const part = (found[3] || "").replace(/0+$/, "");
  const number = part ? `${whole}.${part}` : whole;
  return found[1] === "-" && number !== "0" ? "-" + number : number;
}

function places(number) {
  return (number.split(".")[1] || "").length;
}

// A canonical number times ten to the power of `digits`, as a whole number.
function scaled(number, digits) {
  const [whole, part = ""] = number.split(".");
  return BigInt(whole + part.padEnd(digits, "0"));
}

function together(...numbers) {
  const digits = Math.max(...numbers.map(places));
  return numbers.map((number) => scaled(number, digits));
}

function below(one, other) {
  const [a, b] = together(one, other);
  return a < b;
}

function isWithin(number, [first, last]) {
  return !below(number, first) && !below(last, number);
}

function apart(one, other) {
  const [a, b] = together(one, other);
  const digits = Math.max(places(one), places(other));
  return { by: a < b ? b - a : a - b, digits };
}

// Decimals less than a step of the display apart are the same.
function sameNumber(one, other, setting) {
  if (setting.kind === "integer") return one === other;
  const { by, digits } = apart(one, other);
  const wider = Math.max(digits, places(setting.step));
  return by * 10n ** BigInt(wider - digits) < scaled(setting.step, wider);
}

function onStep(number, setting) {
  if (!setting.step) return true;
  return [setting.low, "0"].filter(Boolean).some((from) => {
    const [value, start, step] = together(number, from, setting.step);
    return (value - start) % step === 0n;
  });
}

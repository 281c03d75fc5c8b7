// Figures as a tape, a wrench, a gauge or a meter gives them, and their SI values. Twin of
// fleet/calc/units.py and fleet/calc/meter_text.py.
import { Scan, TAPE_DENOMINATORS, UnitError, isVulgar } from "./figures.js";
import { add, fraction, fromNumber, less, over, rounded, times } from "./fractions.js";
import { UNITS, readingOf, unitSpelled } from "./unit_table.js";

export { UnitError };

/** @typedef {import("./unit_table.js").Reading} Reading */

const TWELVE = fraction(12);
const HINTS = {
  in: "46 5/16 in", ft: "3' 10 5/16\"", mm: "1176 mm", cm: "117.6 cm", m: "1.25 m",
  "N·m": "115 N·m", "lbf·ft": "85 lbf·ft", "lbf·in": "120 lbf·in", "kgf·m": "11.7 kgf·m",
  psi: "65 psi", kPa: "450 kPa", bar: "4.5 bar",
};
const METER_HINTS = { mi: "12,345.6", km: "12,345.6", h: "1,234.5" };

/** Units of a bare number where nobody says otherwise, as on a sheet. */
export const SHEET_UNITS = { length: "in", torque: "lbf·ft", pressure: "psi" };

/** @returns {Reading} `si` in metres; throws UnitError */
export const parseLength = (text, unit = "in", { signed = false } = {}) =>
  parse(text, "length", unit, signed);

/** @returns {Reading} `si` in newton metres; throws UnitError */
export const parseTorque = (text, unit = "N·m") => parse(text, "torque", unit, false);

/** @returns {Reading} `si` in pascals; throws UnitError */
export const parsePressure = (text, unit = "psi") => parse(text, "pressure", unit, false);

/** Read an odometer or hour meter. @returns {Reading} `si` in metres or seconds */
export function parseMeter(text, unit) {
  const own = UNITS.get(unit);
  const scan = new Scan(text, METER_HINTS[unit], { counter: true });
  const [, start] = scan.sign(scan.skipSpaces(0), false);
  const figure = scan.figure(start);
  const at = scan.skipSpaces(figure.end);
  return readingOf(figure.value, scan.rest(at) ? meterUnitAfter(scan, at, own) : own);
}

function meterUnitAfter(scan, at, own) {
  const first = scan.rest(at)[0];
  if (first === "/" || isVulgar(first)) scan.fail("fraction_in_meter", at);
  return unitWritten(scan, at, own);
}

function parse(text, kind, name, signed) {
  const own = UNITS.get(name);
  if (!own || own.kind !== kind) throw new RangeError(`${name} is no unit of ${kind}`);
  const scan = new Scan(text, HINTS[own.name]);
  const [sign, start] = scan.sign(scan.skipSpaces(0), signed);
  const figure = scan.figure(start);
  const at = scan.skipSpaces(figure.end);
  const inchesAt = kind === "length" ? afterFeet(scan, at) : null;
  if (inchesAt !== null) {
    const inches = feetAndInches(scan, figure, inchesAt);
    return readingOf(times(fraction(sign), inches), UNITS.get("in"));
  }
  const unit = scan.rest(at) ? unitWritten(scan, at, own) : own;
  if (figure.fractionAt !== null && !unit.customary) {
    scan.fail("fraction_in_metric", figure.fractionAt, HINTS[unit.name]);
  }
  return readingOf(times(fraction(sign), figure.value), unit);
}

function unitWritten(scan, at, own) {
  const rest = scan.rest(at);
  if (/^[0-9]/.test(rest)) scan.fail("two_numbers", at);
  const unit = unitSpelled(rest);
  if (!unit) scan.fail(startsWithLetter(scan, at) ? "unknown_unit" : "unexpected", at);
  if (unit.kind !== own.kind) scan.fail("wrong_kind", at);
  return unit;
}

/** By what was typed: in the plain text some letters have given way to a mark. */
const startsWithLetter = (scan, at) => /^\p{L}/u.test([...scan.typed][at] ?? "");

/** The place behind a feet mark when a figure follows it, else null. */
function afterFeet(scan, at) {
  for (const mark of ["feet", "foot", "ft.", "ft", "'"]) {
    const end = at + mark.length;
    if (scan.text.slice(at, end).toLowerCase() !== mark || scan.text[end] === "'") continue;
    let begin = scan.skipSpaces(end);
    if (scan.text[begin] === "-") begin = scan.skipSpaces(begin + 1);
    return scan.rest(begin) && !startsWithLetter(scan, begin) ? begin : null;
  }
  return null;
}

/** Feet and inches as inches; the feet must be whole, the inches under twelve. */
function feetAndInches(scan, feet, at) {
  if (!feet.whole) scan.fail("two_numbers", at);
  const inches = scan.figure(at);
  if (!less(inches.value, TWELVE)) scan.fail("inches_past_foot", at);
  const end = scan.skipSpaces(inches.end);
  const inch = UNITS.get("in");
  if (scan.rest(end) && unitWritten(scan, end, inch).name !== "in") scan.fail("wrong_kind", end);
  return add(times(TWELVE, feet.value), inches.value);
}

/** Metres as a tape would show them: inches and feet with a fraction, metric with a decimal. */
export function formatLength(si, unit, denominator = 16) {
  const own = UNITS.get(unit);
  if (!own.customary) return decimal(si, own);
  if (![1, ...TAPE_DENOMINATORS].includes(denominator)) throw new RangeError("denominator");
  const inches = over(fromNumber(si), UNITS.get("in").factor);
  const steps = rounded(times(inches, fraction(denominator)));
  const size = fraction(steps < 0n ? -steps : steps, denominator);
  return (steps < 0n ? "-" : "") + (unit === "in" ? `${mixed(size)} in` : inFeet(size));
}

function inFeet(inches) {
  if (less(inches, TWELVE)) return `${mixed(inches)} in`;
  const feet = inches.top / (12n * inches.bottom);
  const left = add(inches, fraction(-12n * feet));
  return left.top ? `${feet} ft ${mixed(left)} in` : `${feet} ft`;
}

function mixed({ top, bottom }) {
  const [whole, part] = [top / bottom, top % bottom];
  if (!part) return String(whole);
  return `${whole ? `${whole} ` : ""}${part}/${bottom}`;
}

/** Newton metres in `unit`, to a tenth (kgf·m to a hundredth). */
export const formatTorque = (si, unit) => decimal(si, UNITS.get(unit));

/** Pascals in `unit`, to a tenth (bar to a hundredth). */
export const formatPressure = (si, unit) => decimal(si, UNITS.get(unit));

function decimal(si, unit) {
  const steps = 10n ** BigInt(unit.places);
  const found = rounded(times(over(fromNumber(si), unit.factor), fraction(steps)));
  const size = found < 0n ? -found : found;
  const part = String(size % steps).padStart(unit.places, "0").replace(/0+$/, "");
  return `${found < 0n ? "-" : ""}${size / steps}${part && unit.places ? `.${part}` : ""} ${unit.name}`;
}

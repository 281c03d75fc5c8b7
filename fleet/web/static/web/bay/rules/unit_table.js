// The units a figure may be typed in, their exact factors and the ways they are written. Twin of
// fleet/calc/unit_table.py.
import { fraction, fromDecimal, over, times, toNumber } from "./fractions.js";

/**
 * @typedef {import("./fractions.js").Fraction} Fraction
 * @typedef {{name: string, kind: string, factor: Fraction, customary: boolean, places: number}} Unit
 * @typedef {{magnitude: Fraction, unit: string, si: number}} Reading
 */

const INCH = fromDecimal("0.0254");
const FOOT = times(fraction(12), INCH);
const GRAVITY = fromDecimal("9.80665");
const POUND_FORCE = times(fromDecimal("0.45359237"), GRAVITY);

const ALL = [
  ["in", "length", INCH, true, 4, "in inch inches \" ''"],
  ["ft", "length", FOOT, true, 4, "ft foot feet '"],
  ["mm", "length", fraction(1, 1000), false, 1, "mm millimeter millimeters millimetre millimetres"],
  ["cm", "length", fraction(1, 100), false, 2, "cm centimeter centimeters centimetre centimetres"],
  ["m", "length", fraction(1), false, 4, "m meter meters metre metres"],
  ["mi", "distance", times(fraction(5280), FOOT), false, 1, "mi mile miles"],
  ["km", "distance", fraction(1000), false, 1, "km kms kilometer kilometers kilometre kilometres"],
  ["h", "time", fraction(3600), false, 1, "h hr hrs hour hours"],
  ["s", "duration", fraction(1), false, 0, "s sec second seconds"],
  ["N·m", "torque", fraction(1), false, 1, "nm newtonmeter newtonmeters newtonmetre newtonmetres"],
  [
    "lbf·ft", "torque", times(POUND_FORCE, FOOT), true, 1,
    "lbfft ftlbf lbft ftlb lbsft ftlbs poundfeet poundfoot footpound footpounds",
  ],
  [
    "lbf·in", "torque", times(POUND_FORCE, INCH), true, 1,
    "lbfin inlbf lbin inlb lbsin inlbs poundinch poundinches inchpound inchpounds",
  ],
  ["kgf·m", "torque", GRAVITY, false, 2, "kgfm mkgf kgm mkg kpm"],
  [
    "psi", "pressure", over(POUND_FORCE, times(INCH, INCH)), true, 1,
    "psi lbf/in2 lbf/in² lb/in2 lb/in²",
  ],
  ["kPa", "pressure", fraction(1000), false, 1, "kpa kilopascal kilopascals"],
  ["bar", "pressure", fraction(100000), false, 2, "bar bars"],
  ["MPa", "stress", fraction(1000000), false, 3, "mpa megapascal megapascals"],
  ["N", "force", fraction(1), false, 1, "n newton newtons"],
  ["lbf", "force", POUND_FORCE, false, 1, "lbf"],
];

/** Every unit by its one name. @type {Map<string, Unit>} */
export const UNITS = new Map(
  ALL.map(([name, kind, factor, customary, places]) => [
    name, { name, kind, factor, customary, places },
  ]),
);

const SPELLINGS = new Map(
  ALL.flatMap(([name, , , , , ways]) => ways.split(" ").map((way) => [way, UNITS.get(name)])),
);
const DROPPED = /[ ·\-*.×\u22c5\u2022\u2219\u2010\u2011\u00a0]/gu;

/** The unit that somebody wrote, whatever stands between its parts. @returns {Unit|null} */
export function unitSpelled(written) {
  return SPELLINGS.get(written.replace(DROPPED, "").toLowerCase()) ?? null;
}

/** @returns {Reading} `si` is the correctly rounded value of the exact figure */
export function readingOf(magnitude, unit) {
  return { magnitude, unit: unit.name, si: toNumber(times(magnitude, unit.factor)) };
}

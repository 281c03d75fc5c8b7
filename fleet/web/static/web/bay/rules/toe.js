// Toe from tape readings: computed as they are typed, and as left judged by the specification or
// as restored to what was found. Twin of fleet/operations/{toe,evidence}.py.
import { valueOf } from "./fields.js";
import { settingOf } from "./settings.js";

// A tape is read to a sixteenth at best: a hundredth of a millimetre is rounding, not toe.
const ROUNDING_M = 1e-5;
const PAIRS = [["found", ""], ["left", ""], ["left", "_2"], ["left", "_3"]];

/** Total toe, metres; positive when the fronts are nearer (toe-in). */
export const toeFromWidths = (rear, front) => rear - front;

/**
 * Each pair of tape readings of an entry, in order.
 * @returns {{asLeft: boolean, rear: string, front: string, toeM: number}[]}
 */
export function toeReadings(values) {
  return PAIRS.flatMap(([start, end]) => {
    const [rear, front] = [`${start}_rear${end}`, `${start}_front${end}`];
    const [back, ahead] = [valueOf(values, rear), valueOf(values, front)];
    if (back === null || ahead === null) return [];
    return [{ asLeft: start === "left", rear, front, toeM: toeFromWidths(back, ahead) }];
  });
}

/**
 * The two sides that toe is held against: as typed on the line, else as on file. Undefined where
 * the tablet was not told whether there is one on file.
 * @returns {{low: number, high: number, source: string|null}|null|undefined}
 */
export function toeSpec(values, vehicle) {
  const typedLow = valueOf(values, "toe_spec_low");
  const typedHigh = valueOf(values, "toe_spec_high");
  const onFile = vehicle.toe;
  const low = typedLow ?? onFile?.low_m ?? null;
  const high = typedHigh ?? onFile?.high_m ?? null;
  if (low !== null && high !== null) return { low, high, source: onFile?.source ?? null };
  return onFile === undefined ? undefined : null;
}

/** Why the toe as left can't stand; empty where it can, or where a reading is missing. */
export function toeProblems(values, vehicle, rules) {
  const [found, left] = ["found", "left"].map((when) => firstToe(values, when));
  if (found === null || left === null) return [];
  const out = [{ field: "left_front", code: "toe_out" }];
  if (valueOf(values, "toe_basis") === "restored") {
    const apart = Math.abs(left - found);
    return apart <= settingOf(rules, "toe_restored_tolerance") + ROUNDING_M ? [] : out;
  }
  const spec = toeSpec(values, vehicle);
  if (spec === undefined) return [{ field: "left_front", code: "toe_unjudged" }];
  if (spec === null) return out;
  return spec.low - ROUNDING_M <= left && left <= spec.high + ROUNDING_M ? [] : out;
}

function firstToe(values, when) {
  const [rear, front] = [valueOf(values, `${when}_rear`), valueOf(values, `${when}_front`)];
  return rear === null || front === null ? null : toeFromWidths(rear, front);
}

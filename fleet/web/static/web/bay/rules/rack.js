// A rack's sheet, judged against its specifications and those on file. Twin of
// fleet/operations/rack.py.
import { isBlank } from "./texts.js";
import { valueOf } from "./fields.js";

// A sheet shows hundredths: a millionth of a degree is rounding of what was typed.
const ROUNDING = 1e-6;
const ANGLES = ["caster", "camber"];
const REASON = "out_of_spec_reason";

const inside = (angle, [low, high]) => low - ROUNDING <= angle && angle <= high + ROUNDING;

function ofSheet(values, what) {
  const sides = ["low", "high"].map((side) => valueOf(values, `${what}_spec_${side}`));
  return sides.includes(null) ? null : sides;
}

function onFile(vehicle, what) {
  const found = vehicle.angles?.[what];
  return found ? [found.low, found.high] : null;
}

/** Why a rack's figures can't stand; empty where they can, or where one is missing. */
export function rackProblems(values, vehicle) {
  const swapped = [...ANGLES, "toe"].filter((what) => isSwapped(ofSheet(values, what)));
  const explained = !isBlank(valueOf(values, REASON));
  const out = explained ? [] : ANGLES.flatMap((what) => anglesOut(values, vehicle, what));
  return [
    ...swapped.map((what) => ({ field: `${what}_spec_high`, code: "sides_swapped" })),
    ...out,
    ...toeOut(values),
  ];
}

const isSwapped = (band) => band !== null && band[0] > band[1];

function anglesOut(values, vehicle, what) {
  const bands = [ofSheet(values, what), onFile(vehicle, what)].filter(Boolean);
  return ["left", "right"].flatMap((side) => {
    const left = valueOf(values, `${what}_${side}`);
    const stands = left === null || bands.every((band) => inside(left, band));
    return stands ? [] : [{ field: REASON, code: "angle_out" }];
  });
}

function toeOut(values) {
  const [left, sheet] = [valueOf(values, "toe_total"), ofSheet(values, "toe")];
  return left === null || !sheet || inside(left, sheet) ? [] : [{ field: "toe_total", code: "toe_out" }];
}

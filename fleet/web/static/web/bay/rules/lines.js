// A ticket line read as typed, and everything that it still lacks, each beside the field that
// puts it right. Twin of fleet/operations/lines.lacks; problems are codes.
import { askedFields, factsOf } from "./asked.js";
import { missing, readFields, valueOf } from "./fields.js";
import { neverPulled, pullsOf, refusals, torqueProblems } from "./line_torque.js";
import { rackProblems } from "./rack.js";
import { toeProblems } from "./toe.js";
import { SET_TOE } from "./work.js";

const RACK = "full_alignment";

/**
 * @typedef {{action: string, joint: Object|null, facts?: Object}} Line the joint as in the pack
 * @typedef {{vehicle: Object, tools: Object[], rules: Object, far: boolean, at: Object}} Bench
 * @typedef {import("./line_torque.js").LineProblem} LineProblem
 */

/** The fields that this line asks for on this vehicle and joint. */
export function fieldsOf(line, { vehicle, rules, far }) {
  const kind = line.joint ? rules.kinds[line.joint.kind] : null;
  const facts = line.facts ?? factsOf({ ...line, vehicle, kind, far });
  return askedFields(rules.actions[line.action].fields, facts);
}

/**
 * @param {Line} line @param {Object} typed by field name @param {Bench} bench
 * @returns {{fields: Object[], values: Object, refused: LineProblem[], lacks: LineProblem[],
 *   pulls: Object[]}} `refused` keeps the entry from being kept, `lacks` the line from closing
 */
export function judgeLine(line, typed, bench) {
  const fields = fieldsOf(line, bench);
  const { values, problems } = readFields(fields, typed);
  const unread = problems.map(({ name, code, hint }) => ({ field: name, code, hint }));
  const pulls = pullsOf(line, values, bench);
  return {
    fields, values, pulls,
    refused: [...unread, ...refusals(values, bench.tools)],
    lacks: lacksOf(line, fields, values, pulls, bench),
  };
}

function lacksOf(line, fields, values, pulls, { vehicle, rules }) {
  const gaps = missing(fields, values);
  return [
    ...gaps.map(({ name, code, hint }) => ({ field: name, code, hint })),
    ...pulls.flatMap((pull) => torqueProblems(line, values, pull)),
    ...neverPulled(line, values),
    ...heat(values),
    ...rejected(values),
    ...ownLook(line, values),
    ...(line.action === SET_TOE ? toeProblems(values, vehicle, rules) : []),
    ...(line.action === RACK ? rackProblems(values, vehicle) : []),
  ];
}

/** A steering or suspension part heated by flame is not used again. */
function heat(values) {
  const kept = valueOf(values, "heat_used") === "kept";
  const washer = valueOf(values, "method") === "weld_washer" && valueOf(values, "welded") === "no";
  return [
    ...(kept ? [{ field: "heat_used", code: "heated" }] : []),
    ...(washer ? [{ field: "welded", code: "weld_missing" }] : []),
  ];
}

/** A pin hole above the slots means a worn taper or a wrong part (common practice). */
function rejected(values) {
  const above = valueOf(values, "new_pin") === "above_slots";
  return above ? [{ field: "new_pin", code: "pin_hole_above" }] : [];
}

function ownLook(line, values) {
  const without = line.joint?.holds && valueOf(values, "own_check") === "not_hold";
  return without ? [{ field: "own_check", code: "own_check" }] : [];
}

/** What an entry says of the part itself holds the vehicle at once. Twin of heat.place_holds. */
export function holdsAtOnce(values) {
  const found = [];
  if (valueOf(values, "heat_used") === "kept") found.push("heated");
  if (valueOf(values, "new_pin") === "above_slots") found.push("pin_hole_above");
  return found;
}

// Reading an inspection sheet: every look judged for sense as the server will judge it. Twin of
// fleet/operations/looks.py; problems are codes, the page puts them into words.
import { toNumber } from "./fractions.js";
import { ROUNDING, judge } from "./judge.js";
import { isBlank, lengthOf, stripped } from "./texts.js";
import { atFastener, doubt, extensionProblem, inRange, toolOf } from "./tools.js";
import { SHEET_UNITS, UnitError, parseLength, parseMeter, parseTorque } from "./units.js";

/**
 * @typedef {{joint: number, code: string, method?: string, degrees?: string, play?: string,
 *   torque?: string, extension?: string, tool?: string, thread_condition?: string,
 *   reason?: string, note?: string}} Look figures are as written; empty means not said
 * @typedef {{field: string, code: string, hint: string}} LookProblem
 * @typedef {{joint: Object, look: Look, degrees: number|null, playM: number|null,
 *   wrenchNm: number|null, torqueNm: number|null, toolInDate: boolean, problems: LookProblem[],
 *   verdict: import("./judge.js").Verdict|null}} Seen
 * @typedef {{joints: Object[], tools: Object[], rules: Object, at: Object}} Frame
 */

const TOLD_APART = ["worn_out", "cracked", "bent", "broken_or_missing", "not_reached"];
const MOST_DEGREES = 1080;
const LONGEST = { reason: 200, note: 400, play: 40, torque: 40, extension: 40 };

/**
 * All looks as understood, with what each calls for and everything that is wrong with it.
 * @param {Look[]} looks @param {Frame} frame @returns {Seen[]}
 */
export function readLooks(looks, frame) {
  const before = new Set();
  return looks.map((look) => {
    const joint = frame.joints.find((one) => one.id === look.joint);
    if (!joint) return alone(look, "joint_not_on_vehicle");
    if (before.has(joint.id)) return alone(look, "joint_twice", joint);
    before.add(joint.id);
    return readLook(joint, look, frame);
  });
}

const alone = (look, code, joint = null) => ({
  ...blank(joint, look), problems: [{ field: "joint", code, hint: "" }],
});

const blank = (joint, look) => ({
  joint, look, degrees: null, playM: null, wrenchNm: null, torqueNm: null, extensionM: null,
  toolInDate: true, problems: [], verdict: null,
});

/** One look as understood. @returns {Seen} */
export function readLook(joint, look, frame) {
  const seen = blank(joint, look);
  const rule = frame.rules.findings[look.code];
  if (!rule) return add(seen, "code", "code_unknown");
  judgeFitted(seen);
  judgeMethod(seen, rule, frame.rules);
  if (look.code === "not_reached" && isBlank(look.reason)) add(seen, "reason", "reason_missing");
  seen.degrees = degreesOf(seen, rule);
  seen.playM = figure(seen, "play", parseLength, SHEET_UNITS.length);
  seen.wrenchNm = figure(seen, "torque", parseTorque, SHEET_UNITS.torque);
  seen.extensionM = figure(seen, "extension", parseLength, SHEET_UNITS.length);
  seen.torqueNm = isBlank(look.extension) ? seen.wrenchNm : null;
  judgeSize(seen);
  if (byWrench(seen) && rule.by !== "any") judgeWrench(seen, frame);
  seen.verdict = judge(joint, { ...seen, code: look.code }, frame.rules);
  return seen;
}

const byWrench = (seen) => seen.look.method === "wrench";

function add(seen, field, code, hint = "") {
  seen.problems.push({ field, code, hint });
  return seen;
}

/** What is not there can't be looked at, and what lies apart does not sit tight. */
function judgeFitted(seen) {
  const { joint: { fitted }, look: { code } } = seen;
  if (fitted === "not_fitted" && code !== "not_fitted") add(seen, "code", "joint_not_fitted");
  if (fitted === "apart" && !TOLD_APART.includes(code)) add(seen, "code", "joint_apart");
}

function judgeMethod(seen, rule, rules) {
  const { code, method } = seen.look;
  if (!method) {
    if (rule.by !== "any") add(seen, "method", "method_missing");
    return;
  }
  const moves = rules.kinds[seen.joint.kind].moved_methods;
  const unseen = code === "moved" && !byWrench(seen) && !moves.includes(method);
  const wrong = rule.by !== "any" && !rule.by.includes(method);
  if (!(method in rules.methods) || unseen || wrong) add(seen, "method", "method_wrong");
}

/** A wrench says something only at its figure, with a tool that can be believed. */
function judgeWrench(seen, { tools, at }) {
  const { joint, look } = seen;
  if (joint.never_retorqued) return add(seen, "method", "never_retorqued");
  if (isBlank(look.torque)) add(seen, "torque", "torque_missing");
  const tool = toolOf(tools, look.tool);
  if (!tool) return add(seen, "tool", "tool_missing");
  judgeExtension(seen, tool);
  const doubted = doubt(tool, at, seen.wrenchNm);
  seen.toolInDate = !doubted;
  const claimsTight = look.code === "tight" && joint.holds;
  if (doubted && claimsTight) add(seen, "tool", doubted);
  if (claimsTight && isBelow(seen)) add(seen, "torque", "torque_below", joint.spec.typed);
  if (seen.wrenchNm && !inRange(tool, seen.wrenchNm)) add(seen, "tool", "tool_range");
  return seen;
}

const isBelow = ({ torqueNm, joint: { spec } }) =>
  spec && torqueNm !== null && torqueNm < spec.low_nm * (1 - ROUNDING);

/** The tool's range and its comparison are of what it said, the band of what came of it. */
function judgeExtension(seen, tool) {
  if (seen.extensionM === null) return;
  const wrong = extensionProblem(tool, seen.extensionM);
  if (wrong) add(seen, "extension", wrong);
  else if (seen.wrenchNm !== null) {
    seen.torqueNm = atFastener(tool, seen.wrenchNm, seen.extensionM);
  }
}

function degreesOf(seen, rule) {
  const typed = stripped(stripped(seen.look.degrees ?? "").replace(/°+$/, ""));
  if (!typed) {
    if ((rule.needs ?? []).includes("degrees")) add(seen, "degrees", "degrees_missing");
    return null;
  }
  const value = degreesTyped(typed);
  if (value <= MOST_DEGREES) return value;
  add(seen, "degrees", "degrees_wrong");
  return null;
}

function degreesTyped(typed) {
  try {
    return toNumber(parseMeter(typed, "h").magnitude);
  } catch (error) {
    if (error instanceof UnitError) return MOST_DEGREES + 1;
    throw error;
  }
}

function figure(seen, name, parse, unit) {
  const typed = seen.look[name] ?? "";
  if (isBlank(typed)) return null;
  try {
    return parse(typed, unit).si;
  } catch (error) {
    if (!(error instanceof UnitError)) throw error;
    add(seen, name, error.code, error.hint);
    return null;
  }
}

function judgeSize(seen) {
  for (const [name, most] of Object.entries(LONGEST)) {
    const text = stripped(seen.look[name] ?? "");
    if (lengthOf(text) > most) add(seen, name, "too_long", String(most));
  }
}

/**
 * What is wrong with how the vehicle stood and who was there. Twin of inspect._stance.
 * @param {{findings: Look[], second_person: number|null, at_wheel: string,
 *   on_wheels: boolean|null, engine_on: boolean|null}} sheet
 */
export function stanceProblems(sheet, personId) {
  const drySteer = sheet.findings.some((look) => look.method === "dry_steer");
  const another = sheet.second_person && sheet.second_person !== personId;
  const found = [];
  const say = (field, code) => found.push({ field, code, hint: "" });
  if (drySteer && !another && isBlank(sheet.at_wheel)) say("at_wheel", "at_wheel_missing");
  if (drySteer && sheet.on_wheels === false) say("on_wheels", "not_on_wheels");
  if (sheet.on_wheels === false && sheet.engine_on) say("engine_on", "engine_on_raised");
  return found;
}

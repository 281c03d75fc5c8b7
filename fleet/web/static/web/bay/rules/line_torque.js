// What a line's wrench says against the figure on file: tool, band, threads, new fastener. Twin
// of fleet/operations/line_torque.py and of the refusals of evidence.tool_problems.
import { isBlank } from "./texts.js";
import { band } from "./judge.js";
import { valueOf } from "./fields.js";
import { PULLS, jointOfPull, prefixOf } from "./pulls.js";
import { atFastener, doubt, extensionProblem, inRange, toolOf } from "./tools.js";

/**
 * @typedef {{field: string, code: string, hint?: string}} LineProblem
 * @typedef {{prefix: string, joint: Object, tool: Object, inDate: boolean, saidNm: number,
 *   torqueNm: number, band: string, threads: string}} Pull
 */

// The conditions that have a range of K, with its source, in calc/fastener_tables.py.
const THREADS = ["dry", "oiled", "anti_seize", "threadlocker"];

/** What keeps an entry from being kept at all: a tool not on file, out of reach, no lever. */
export function refusals(values, tools) {
  return PULLS.flatMap((prefix) => refusalsOf(values, tools, prefix));
}

function refusalsOf(values, tools, prefix) {
  const [named, field] = [valueOf(values, `${prefix}tool`), `${prefix}tool`];
  if (!named) return [];
  const tool = toolOf(tools, named);
  if (!tool) return [{ field, code: "tool_unknown" }];
  const torque = valueOf(values, `${prefix}torque`);
  const extension = valueOf(values, `${prefix}extension`);
  const found = torque !== null && !inRange(tool, torque) ? [{ field, code: "tool_range" }] : [];
  const wrong = extension === null ? "" : extensionProblem(tool, extension);
  return wrong ? [...found, { field: `${prefix}extension`, code: wrong }] : found;
}

/** The pulls of a line that can be judged: torque and tool typed. @returns {Pull[]} */
export function pullsOf(line, values, { vehicle, tools, at }) {
  if (!line.joint) return [];
  return PULLS.map((prefix) => {
    const [said, code] = [valueOf(values, `${prefix}torque`), valueOf(values, `${prefix}tool`)];
    const tool = said === null || !code ? null : toolOf(tools, code);
    if (!tool) return null;
    const joint = jointOfPull(line.action, prefix, line.joint, vehicle);
    const torqueNm = atFastener(tool, said, valueOf(values, `${prefix}extension`));
    return {
      prefix, joint, tool, inDate: !doubt(tool, at, said), saidNm: said, torqueNm,
      band: band(torqueNm, joint.spec ?? null),
      threads: valueOf(values, `${prefix}thread_condition`) ?? "",
    };
  }).filter(Boolean);
}

/** Everything that one pull of the wrench leaves open on a line. @returns {LineProblem[]} */
export function torqueProblems(line, values, pull) {
  const prefix = prefixOf(line.action, pull.joint);
  const holds = pull.joint.holds;
  const explained = isExplained(values);
  return [
    holds && !pull.inDate && { field: `${prefix}tool`, code: "tool_out_of_date" },
    pull.band === "below" && (holds || !explained) && {
      field: `${prefix}torque`, code: "torque_below",
    },
    above(values, pull, prefix, explained),
    pull.band === "no_spec" && holds && !explained && {
      field: "out_of_band_reason", code: "no_spec",
    },
    threads(pull, prefix, explained),
  ].filter(Boolean).map((one) => ({ ...one, hint: pull.joint.spec?.typed ?? "" }));
}

export const isExplained = (values) => !isBlank(valueOf(values, "out_of_band_reason"));

function above(values, { band: lies, joint }, prefix, explained) {
  if (lies !== "above") return null;
  const field = `${prefix}new_fastener`;
  if (joint.holds) {
    return valueOf(values, field) === "yes" ? null : { field, code: "torque_above" };
  }
  return explained ? null : { field: "out_of_band_reason", code: "torque_above" };
}

/** A figure holds for threads as its source means them. Silent where the pack does not say. */
function threads({ threads: recorded, joint }, prefix, explained) {
  const meant = joint.spec?.thread_condition;
  if (!meant || !THREADS.includes(recorded) || recorded === meant) return null;
  if (joint.holds) return { field: `${prefix}thread_condition`, code: "threads_differ" };
  return explained ? null : { field: "out_of_band_reason", code: "threads_differ" };
}

/** A wrench put where none belongs. */
export function neverPulled(line, values) {
  const ownWrench = valueOf(values, "own_check") === "wrench";
  if (!line.joint?.never_retorqued || !(line.action === "retorque" || ownWrench)) return [];
  return [{ field: ownWrench ? "own_check" : "torque", code: "never_retorqued" }];
}

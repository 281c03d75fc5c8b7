// What a finding calls for: noted, a ticket line, or a hold; and where a torque lies against its
// figure. The table is data. Twin of fleet/operations/judge.py and looks.band.

/**
 * @typedef {"note"|"line"|"hold"} Response
 * @typedef {{response: Response, answer: string, limit: Object|null}} Verdict
 */

// A tenth of a micrometer, far under any reading: rounding never turns "at the line" into past.
const AT_THE_LINE = 1e-7;
// A thousandth of a torque is rounding, not a fault.
export const ROUNDING = 0.001;

/** What a play says against a limit; none of these means that a joint is good. */
export function assessPlay(play, limit) {
  if (play === null) return "unmeasured";
  if (!limit) return "no_limit";
  return play > limit.value_m + AT_THE_LINE ? "past" : "inside";
}

/**
 * @param {Object} joint as in the pack
 * @param {{code: string, degrees: number|null, playM: number|null}} seen
 * @param {Object} rules
 * @returns {Verdict}
 */
export function judge(joint, seen, rules) {
  const verdict = byTable(joint, seen, rules.responses[joint.response]);
  return joint.fitted === "not_fitted" ? { ...verdict, response: "note" } : verdict;
}

function byTable(joint, { code, degrees, playM }, row) {
  if (code === "play") {
    const limit = joint.limit ?? null;
    const answer = assessPlay(playM, limit);
    return { response: row.play[answer], answer, limit };
  }
  if (code === "moved") {
    const far = degrees !== null && degrees >= row.moved.hold_from_degrees;
    const running = joint.moved_before ? row.moved.second_running : row.moved.otherwise;
    return { response: far ? "hold" : running, answer: "", limit: null };
  }
  return { response: row[code] ?? "note", answer: "", limit: null };
}

/** Where a torque lies against its figure: no_spec, below, above or inside. */
export function band(torque, spec) {
  if (!spec) return "no_spec";
  if (torque < spec.low_nm * (1 - ROUNDING)) return "below";
  return torque > spec.high_nm * (1 + ROUNDING) ? "above" : "inside";
}

// Torque tools: whether one may be believed on a day, and what a wrench with an extension on it
// comes to at the fastener. Twin of fleet/operations/{tools,extensions}.py.

/**
 * @typedef {{code: string, low_nm: number, high_nm: number, lever_m: number|null,
 *   good_until: string|null, doubted_since: string|null,
 *   compared: {nm: number, until: string}[]}} Tool
 */

// So that 130 is within 4 % of 125.
const ROUNDING = 1e-9;

/** The date at the yard. @param {Date} when @param {string} zone @returns {string} YYYY-MM-DD */
export function dayAt(when, zone) {
  const parts = { timeZone: zone, year: "numeric", month: "2-digit", day: "2-digit" };
  const found = Object.fromEntries(
    new Intl.DateTimeFormat("en-US", parts).formatToParts(when).map((p) => [p.type, p.value]),
  );
  return `${found.year}-${found.month}-${found.day}`;
}

/** The tool of this code, as codes are typed. @returns {Tool|null} */
export function toolOf(tools, code) {
  const wanted = String(code ?? "").trim().toLowerCase();
  return tools.find((tool) => tool.code.toLowerCase() === wanted) ?? null;
}

/**
 * Why a tool can't be believed at a moment, or "" where nothing is known against it.
 * @param {Tool} tool
 * @param {{when: Date, zone: string, tolerance: number}} at
 * @param {number|null} torque what was pulled: a comparison is good at its figure
 * @returns {""|"tool_doubted"|"tool_out_of_date"}
 */
export function doubt(tool, at, torque = null) {
  if (tool.doubted_since && new Date(tool.doubted_since) <= at.when) return "tool_doubted";
  const day = dayAt(at.when, at.zone);
  if (tool.good_until && day <= tool.good_until) return "";
  const agrees = ({ nm, until }) =>
    until >= day && Math.abs(torque / nm - 1) <= at.tolerance + ROUNDING;
  return torque !== null && (tool.compared ?? []).some(agrees) ? "" : "tool_out_of_date";
}

export const inRange = (tool, torque) => tool.low_nm <= torque && torque <= tool.high_nm;

/** Why a pull with this extension can't be reckoned, or "". No length needs no lever. */
export function extensionProblem(tool, extension) {
  if (extension === 0) return "";
  if (tool.lever_m == null) return "no_tool_length";
  return extension > tool.lever_m ? "extension_too_long" : "";
}

/** What comes to the fastener, of what `extensionProblem` has let pass. */
export function atFastener(tool, torque, extension) {
  if (!extension || tool.lever_m == null) return torque;
  return torque * ((tool.lever_m + extension) / tool.lever_m);
}

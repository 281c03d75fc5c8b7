// What the parts of the overlay share: when and by whom an operation was made, and holds.

import { doubt } from "./rules/tools.js";
import { settingOf } from "./rules/settings.js";

/** When it was done, by the server's clock as far as it was measured. */
export const momentOf = (op) => new Date(Date.parse(op.made_at) + (op.offset_ms ?? 0)).toISOString();

/** Who did it, by name. @param {any} bench @param {any} op */
export const nameOfMaker = ({ pack }, op) => pack.people.find((person) => person.id === op.person)?.name ?? "";

/** A hold placed here counts here at once. */
export function placeHold(vehicle, op, { reason, words, joint, ticket = null, code = null }) {
  if (!vehicle) return;
  const already = vehicle.holds.find((hold) => joint !== null && hold.joint === joint && hold.reason === reason);
  if (already) return;
  vehicle.holds.push({ id: null, uid: op.uid, reason, words, joint, ticket, code, placed_at: momentOf(op), here: op.status });
}

/**
 * The moment and the rules by which a tool is believed.
 * @param {any} pack @param {any} rules @param {Date} when
 */
export function instant(pack, rules, when) {
  return { when, zone: pack.yard.time_zone, tolerance: settingOf(rules, "tool_compare_tolerance") };
}

/** Whether a tool can be believed now, and why not. @param {any} pack @param {any} rules */
export const doubtNow = (pack, rules, tool, when, torque = null) => doubt(tool, instant(pack, rules, when), torque);

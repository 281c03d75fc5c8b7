// What stands on this tablet now: what the server last said, and what was done here since.

import { name } from "./words.js";

/**
 * @param {import("./desk.js").Desk} desk
 * @returns {any} a pack, or null where none came yet
 */
export function standing({ pack, rules }) {
  for (const joint of (pack?.vehicles ?? []).flatMap((vehicle) => vehicle.joints)) joint.name ??= name(rules?.kinds?.[joint.kind]?.names);
  return pack;
}

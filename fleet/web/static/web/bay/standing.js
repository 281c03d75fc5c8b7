// What stands on this tablet now: what the server last said, and what was done here since.

/**
 * @param {import("./desk.js").Desk} desk
 * @returns {any} a pack, or null where none came yet
 */
export function standing(desk) {
  return desk.pack;
}

// What stands on this tablet now: what the server last said, and what was done here since.

import { overlay } from "./overlay.js";
import { nameOfJoint } from "./joints.js";
import { name, spoken, t } from "./words.js";

let kept = { key: null, pack: null, rules: null, stands: null };

/**
 * @param {import("./desk.js").Desk} desk
 * @returns {any} a pack, or null where none came yet
 */
export function standing(desk) {
  const { pack, rules } = desk;
  if (!pack || !rules) return pack;
  const key = `${spoken()} ${desk.operations.map((op) => `${op.uid}${op.status}`).join(" ")}`;
  if (kept.key !== key || kept.pack !== pack || kept.rules !== rules) {
    kept = { key, pack, rules, stands: named(overlay(pack, rules, desk.operations), rules) };
  }
  return kept.stands;
}

/** Joints go by the name of their kind and the side. */
function named(pack, rules) {
  for (const vehicle of pack.vehicles) {
    for (const joint of vehicle.joints) joint.name ??= nameOfJoint(joint, rules);
    for (const hold of vehicle.holds) if (hold.here) sayWhere(vehicle, hold);
  }
  return pack;
}

/** A hold that was placed here says at which joint, as the server will. */
function sayWhere(vehicle, hold) {
  const joint = vehicle.joints.find((one) => one.id === hold.joint);
  if (joint) hold.words = t("joint.found", { joint: joint.name, found: name(hold.words) });
}

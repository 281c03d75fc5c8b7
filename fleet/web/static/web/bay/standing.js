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
  const minute = Math.floor(desk.now().getTime() / 60_000);
  const key = `${minute} ${spoken()} ${readOvers(desk)} ${desk.operations.map((op) => `${op.uid}${op.status}`).join(" ")}`;
  if (kept.key !== key || kept.pack !== pack || kept.rules !== rules) {
    kept = { key, pack, rules, stands: letOut(desk, named(overlay(pack, rules, desk.operations), rules)) };
  }
  return kept.stands;
}

const readOvers = ({ drafts }) => [...drafts.values()].filter((draft) => draft.key.startsWith("read-over:")).map((draft) => draft.at).join(" ");

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

/** What a read-over release has let out keeps nobody in until it lapses. */
function letOut(desk, pack) {
  const now = desk.now();
  for (const vehicle of pack.vehicles) {
    const out = vehicle.holds.filter((hold) => new Date(outUntil(desk, hold) ?? 0) > now);
    vehicle.let_out = out.map((hold) => ({ ...hold, out_until: outUntil(desk, hold) }));
    vehicle.holds = vehicle.holds.filter((hold) => !out.includes(hold));
  }
  return pack;
}

/** As the server told, or as a reply that was read back here proves. */
function outUntil(desk, hold) {
  const here = hold.ticket === null ? null : desk.draft(readOverKey(hold.ticket));
  return here?.until ?? hold.out_until ?? null;
}

/** Where a read-over release of a ticket is kept. @param {number | string} ticket */
export const readOverKey = (ticket) => `read-over:${ticket}`;

// What stands on this tablet now: what the server last said, with what was done here since laid
// over it. Pure: the pack is left as it is. The server judges; a vehicle whose holds are to be
// lifted reads held until the server has said so.

import { momentOf, placeHold } from "./overlay_facts.js";
import { asFound } from "./overlay_looks.js";
import { applyToTicket } from "./overlay_tickets.js";

const UNDECIDED = ["waiting", "sent", "parked"];

/**
 * @param {any} pack @param {any} rules
 * @param {import("./log.js").Operation[]} operations
 * @returns {any} a pack; what was done here carries `here`: the operation's status
 */
export function overlay(pack, rules, operations) {
  const now = structuredClone(pack);
  const bench = benchOf(now, rules);
  for (const op of operations) if (counts(op, pack)) apply(bench, op);
  return now;
}

/** What judging needs: the pack as it stands, the rules, and who made which ticket. */
function benchOf(pack, rules) {
  return { pack, rules, opened: new Map(), joined: new Map() };
}

/** What the server refused does not stand; what it took in and has told since needs no laying over. */
function counts(op, pack) {
  if (UNDECIDED.includes(op.status)) return true;
  return op.status === "accepted" && Date.parse(op.answered_at) > Date.parse(pack.made_at);
}

function apply(bench, op) {
  const how = { ...VERBS, ...applyToTicket }[op.verb];
  if (how) how(bench, op);
}

const VERBS = {
  place_hold(bench, op) {
    const { vehicle: unit, text, joint } = op.body;
    placeHold(vehicleOf(bench, unit), op, { reason: "judgement", words: text, joint: joint ?? null });
  },
  record_meter(bench, op) {
    const vehicle = vehicleOf(bench, op.body.vehicle);
    if (vehicle) vehicle.meter = { typed: op.body.reading, at: momentOf(op), on: momentOf(op), here: op.status };
  },
  record_inspection(bench, op) {
    const vehicle = vehicleOf(bench, op.body.vehicle);
    if (vehicle) asFound(bench, vehicle, op);
  },
};

/** @param {any} bench @param {string} unit */
const vehicleOf = ({ pack }, unit) => pack.vehicles.find((vehicle) => vehicle.unit === unit) ?? null;

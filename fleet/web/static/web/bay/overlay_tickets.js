// Tickets as they stand here: opened, given lines, recorded, checked, tested, closed. What follows
// from a close the server says alone: a ticket that was closed here lifts no hold here.

import { factsOf } from "./rules/asked.js";
import { holdsAtOnce, judgeLine } from "./rules/lines.js";
import { broughtBy } from "./rules/work.js";
import { instant, momentOf, nameOfMaker, placeHold } from "./overlay_facts.js";

const OVER = ["closed", "cancelled"];
const LIVE = ["open", "complete"];

/** The vehicle's open ticket, or null: it has one at a time. @param {any} vehicle */
export const openTicketOf = (vehicle) => vehicle.tickets.find((ticket) => !OVER.includes(ticket.state)) ?? null;

/** A ticket that the server has not heard of; until then its uid is that of what opened it. */
export function newTicket(bench, vehicle, op, { title = "", complaint = null } = {}) {
  const ticket = {
    id: null, uid: op.uid, state: "open", title, complaint, version: 0, opened_at: momentOf(op),
    opened_by: nameOfMaker(bench, op), lines: [], checks: [], releases: [], tests: [], here: op.status,
  };
  vehicle.tickets.push(ticket);
  return ticket;
}

/**
 * A ticket by its id, its uid, or the uid of what opened it.
 * @returns {{vehicle: any, ticket: any} | null}
 */
export function ticketOf(bench, ref) {
  const opened = bench.opened.get(ref);
  for (const vehicle of bench.pack.vehicles) {
    const ticket = vehicle.tickets.find((one) => one === opened || (ref !== null && [one.id, one.uid].includes(ref)));
    if (ticket) return { vehicle, ticket };
  }
  return null;
}

function lineOf(bench, ref) {
  for (const vehicle of bench.pack.vehicles) {
    for (const ticket of vehicle.tickets) {
      const line = ticket.lines.find((one) => isLine(bench, one, ticket, ref));
      if (line) return { vehicle, ticket, line };
    }
  }
  return null;
}

function isLine(bench, line, ticket, ref) {
  if (ref.id) return line.id === ref.id;
  const here = ticketOf(bench, ref.ticket)?.ticket === ticket;
  return here && line.action === ref.action && line.joint === (ref.joint ?? null) && line.state !== "dropped";
}

/** Add a line and what it brings with it; one that is there already serves. */
export function addLine(bench, vehicle, ticket, op, action, jointId) {
  if (!bench.rules.actions[action]) return;
  const there = ticket.lines.some((line) => line.action === action && line.joint === jointId && LIVE.includes(line.state));
  if (there) return;
  const joint = vehicle.joints.find((one) => one.id === jointId) ?? null;
  const kind = joint ? bench.rules.kinds[joint.kind] : null;
  const facts = factsOf({ action, joint, vehicle, kind, far: bench.pack.yard.far });
  ticket.lines.push({ id: null, uid: op.uid, action, joint: jointId, state: "open", facts, entry: null, here: op.status });
  reopen(ticket);
  for (const other of broughtBy(action, bench.rules, joint?.kind ?? null)) {
    if (!ticket.lines.some((line) => line.action === other && LIVE.includes(line.state))) addLine(bench, vehicle, ticket, op, other, null);
  }
}

/** Work of any kind sends a ticket back before its second check. */
function reopen(ticket) {
  if (!OVER.includes(ticket.state)) ticket.state = "open";
}

const onTicket = (apply) => (bench, op) => {
  const found = ticketOf(bench, op.body.ticket);
  if (found) apply(bench, op, found);
};

export const applyToTicket = {
  open_ticket(bench, op) {
    const vehicle = bench.pack.vehicles.find((one) => one.unit === op.body.vehicle);
    if (!vehicle) return;
    const ticket = openTicketOf(vehicle) ?? newTicket(bench, vehicle, op, op.body);
    bench.opened.set(op.uid, ticket);
    for (const { action, joint } of op.body.lines ?? []) addLine(bench, vehicle, ticket, op, action, joint ?? null);
  },
  add_line: onTicket((bench, op, { vehicle, ticket }) => addLine(bench, vehicle, ticket, op, op.body.action, op.body.joint ?? null)),
  drop_line(bench, op) {
    const found = lineOf(bench, op.body.line);
    if (!found) return;
    found.ticket.lines = found.ticket.lines.filter((line) => line !== found.line);
    reopen(found.ticket);
  },
  record_line(bench, op) {
    const found = lineOf(bench, op.body.line);
    if (found) record(bench, op, found);
  },
  second_check: onTicket((bench, op, { ticket }) => {
    const { passed, how, note } = op.body;
    ticket.checks.push({ passed, how, note, by: op.person, by_name: nameOfMaker(bench, op), at: momentOf(op), here: op.status });
    ticket.state = passed ? "checked" : "open";
  }),
  release: onTicket((bench, op, { ticket }) => {
    const { driver, place, hours } = op.body;
    ticket.releases.push({ driver, place, hours, at: momentOf(op), by_name: nameOfMaker(bench, op), until: null, here: op.status });
    ticket.state = "released";
  }),
  road_test: onTicket((bench, op, { ticket }) => {
    const { passed, note } = op.body;
    ticket.tests.push({ passed, note, at: momentOf(op), by_name: nameOfMaker(bench, op), here: op.status });
    ticket.state = passed ? "tested" : "open";
  }),
  close_ticket: onTicket((bench, op, { ticket }) => {
    ticket.state = "closed";
    ticket.closed_here = { at: momentOf(op), by_name: nameOfMaker(bench, op), status: op.status };
  }),
};

function record(bench, op, { vehicle, ticket, line }) {
  const { typed, done_by: doneBy = "" } = op.body;
  if (line.entry) ticket.hands = [...(ticket.hands ?? []), line.entry];
  line.entry = { uid: op.uid, by: op.person, by_name: nameOfMaker(bench, op), at: momentOf(op), typed, done_by: doneBy, here: op.status };
  const judged = judgeHere(bench, vehicle, line, typed, new Date(momentOf(op)));
  line.state = judged.lacks.length || judged.refused.length ? "open" : "complete";
  reopen(ticket);
  const names = bench.rules.actions[line.action].names;
  if (holdsAtOnce(judged.values).length) placeHold(vehicle, op, { reason: "finding", words: names, joint: line.joint, ticket: ticket.id ?? ticket.uid });
}

/** A line judged by the tablet's rules. @param {any} bench {pack, rules} @param {Date} when */
export function judgeHere({ pack, rules }, vehicle, line, typed, when) {
  const joint = vehicle.joints.find((one) => one.id === line.joint) ?? null;
  return judgeLine({ action: line.action, joint, facts: line.facts }, typed, {
    vehicle, rules, tools: pack.tools, far: pack.yard.far, at: instant(pack, rules, when),
  });
}

// An inspection made here: each joint as it was found, and what that calls for.

import { readLooks } from "./rules/looks.js";
import { afterLook, answers, suggestedAction } from "./rules/work.js";
import { instant, momentOf, placeHold } from "./overlay_facts.js";
import { addLine, newTicket, openTicketOf } from "./overlay_tickets.js";

const MARKS = { tight: "tight", no_play: "no_play", boot_torn: "no_play", moved: "moved", play: "play" };
const BAD = ["worn_out", "cracked", "bent", "broken_or_missing"];
const SILENT = ["not_reached", "not_fitted"];
const LIVE = ["open", "complete"];

/** The mark that a finding gives its joint. @param {string} code */
export const markOf = (code) => (BAD.includes(code) ? "bad" : (MARKS[code] ?? "unknown"));

/** @param {any} bench @param {any} vehicle @param {any} op */
export function asFound(bench, vehicle, op) {
  const at = instant(bench.pack, bench.rules, new Date(momentOf(op)));
  const frame = { joints: vehicle.joints, tools: bench.pack.tools, rules: bench.rules, at };
  const seen = readLooks(op.body.findings, frame).filter((one) => one.joint && one.verdict);
  for (const one of seen) {
    stands(one, op);
    if (one.verdict.response !== "note") callFor(bench, vehicle, op, one);
  }
  if (op.body.meter) vehicle.meter = { typed: op.body.meter, at: momentOf(op), on: momentOf(op), here: op.status };
}

function stands({ joint, look }, op) {
  if (SILENT.includes(look.code)) return;
  joint.mark = markOf(look.code);
  joint.last = { code: look.code, at: momentOf(op), here: op.status };
  Object.assign(joint, afterLook(joint, look.code));
}

function callFor(bench, vehicle, op, { joint, look, verdict }) {
  const ticket = openTicketOf(vehicle) ?? newTicket(bench, vehicle, op, { complaint: op.body.complaint ?? null });
  bench.opened.set(op.uid, ticket);
  const answering = ticket.lines.some((line) => line.joint === joint.id && LIVE.includes(line.state) && answers(line.action, look.code, bench.rules));
  if (!answering) addLine(bench, vehicle, ticket, op, suggestedAction(joint.kind, look.code, bench.rules), joint.id);
  if (verdict.response !== "hold") return;
  placeHold(vehicle, op, { reason: "finding", words: bench.rules.findings[look.code].names, joint: joint.id, ticket: ticket.id ?? ticket.uid, code: look.code });
}

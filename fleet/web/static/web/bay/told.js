// Operations in words, and where one is made anew.

import { h } from "./dom.js";
import { hash } from "./route.js";
import { name, t, when } from "./words.js";

/**
 * The vehicle that an operation is about, or null.
 * @param {any} pack @param {any} op
 */
export function unitOf(pack, op) {
  if (op.body.vehicle) return op.body.vehicle;
  const ref = ticketRef(op);
  const found = (pack?.vehicles ?? []).find((vehicle) => vehicle.tickets.some((ticket) => isTicket(ticket, ref) || hasLine(ticket, op.body.line)));
  return found?.unit ?? null;
}

const ticketRef = (op) => op.body.ticket ?? op.body.line?.ticket ?? op.ticket ?? null;
const isTicket = (ticket, ref) => ref !== null && (ticket.id === ref || ticket.uid === ref);
const hasLine = (ticket, line) => line?.id && ticket.lines.some((one) => one.id === line.id);

/** A unit number is not torn at its hyphen. @param {string} unit */
const whole = (unit) => unit.replaceAll("-", "\u2011");

/** What was done, in one line. @param {any} pack @param {any} op */
export function told(pack, op) {
  const unit = unitOf(pack, op);
  const verb = t(`verb.${op.verb}`);
  return unit ? t("verb.on", { verb, unit: whole(unit) }) : verb;
}

/** Who did it, when. @param {any} desk @param {any} op */
export function byWhom(desk, op) {
  const at = new Date(Date.parse(op.made_at) + (op.offset_ms ?? 0));
  return t("by_at", { name: nameOf(desk, op.person), when: when(at, desk.now()) });
}

/** @param {any} desk @param {number} id */
export function nameOf(desk, id) {
  const found = (desk.pack?.people ?? []).find((person) => person.id === id);
  return found?.name ?? (desk.person.id === id ? desk.person.name : t("somebody"));
}

/** How it stands, with what the server says of it. @param {any} op */
export function howItStands(op) {
  const problems = op.problems.map((problem) => h("li", null, problem.message, problem.hint && h("span", { class: "soft" }, ` ${problem.hint}`)));
  return [h("span", { class: op.status === "refused" ? "act" : "soft" }, t(`status.${op.status}`)), problems.length > 0 && h("ul", { class: "plain" }, problems)];
}

/**
 * Where an operation is typed again with what was typed, or null where nothing types it.
 * @param {any} pack @param {any} op
 */
export function placeToCorrect(pack, op) {
  const unit = unitOf(pack, op);
  if (!unit) return null;
  const ref = ticketRef(op) ?? ticketOfLine(pack, op.body.line);
  const places = {
    record_inspection: ["vehicle", unit, "sheet"],
    place_hold: ["vehicle", unit, "hold"],
    record_meter: ["vehicle", unit, "meter"],
    open_ticket: ["vehicle", unit, "open"],
    record_line: ref && ["vehicle", unit, "ticket", ref, "line", lineRef(op.body.line)],
    add_line: ref && ["vehicle", unit, "ticket", ref],
    drop_line: ref && ["vehicle", unit, "ticket", ref],
    second_check: ref && ["vehicle", unit, "ticket", ref, "check"],
    release: ref && ["vehicle", unit, "ticket", ref, "close"],
    road_test: ref && ["vehicle", unit, "ticket", ref, "close"],
    close_ticket: ref && ["vehicle", unit, "ticket", ref, "close"],
  };
  const parts = places[op.verb];
  return parts ? `${hash(...parts)}?instead=${op.uid}` : null;
}

function ticketOfLine(pack, line) {
  const tickets = (pack?.vehicles ?? []).flatMap((vehicle) => vehicle.tickets);
  return tickets.find((ticket) => hasLine(ticket, line))?.id ?? null;
}

const lineRef = (line) => line.id ?? [line.action, line.joint].filter(Boolean).join(":");

/** A vehicle of the pack by its unit number. @param {any} pack @param {string} unit */
export const vehicleOf = (pack, unit) => (pack?.vehicles ?? []).find((vehicle) => vehicle.unit === unit) ?? null;

/** A joint's name on its vehicle. @param {any} vehicle @param {number | null} id */
export const jointName = (vehicle, id) => name(vehicle?.joints.find((joint) => joint.id === id)?.name);

/** How many of a ticket's lines are done, of those that were not dropped. @param {any} ticket */
export function linesDone(ticket) {
  const lines = ticket.lines.filter((line) => line.state !== "dropped");
  return { done: lines.filter((line) => line.state !== "open").length, all: lines.length };
}

/** The day by which a check falls due, as far as it is known. @param {any} due */
export const dueOn = (due) => due.falls_on ?? due.due_on ?? null;

/**
 * What a ticket is called: its title, else the work on its lines.
 * @param {any} desk @param {any} ticket
 */
export function ticketName(desk, ticket) {
  const works = [...new Set(ticket.lines.map((line) => line.action))].map((action) => name(desk.rules?.actions?.[action]?.names));
  return name(ticket.title) || works.filter(Boolean).join(", ") || t("draft.ticket");
}

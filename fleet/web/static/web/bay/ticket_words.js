// What a ticket lacks and where it stands, in words.

import { h } from "./dom.js";
import { problemWords } from "./judged.js";
import { actionName } from "./joints.js";
import { hash } from "./route.js";
import { lineRef } from "./ticket_model.js";
import { holdsOn } from "./vehicle_parts.js";
import { name, t } from "./words.js";

/** A field's own name. @param {any} one a judged line @param {string} field */
export function fieldLabel(one, field) {
  return name(one.judged.fields.find((each) => each.name === field)?.label) || field;
}

/** One thing that is lacking, in a sentence. @param {any} now @param {any} lack */
export function lackWords(now, lack) {
  const { rules } = now;
  if (lack.code === "line_missing") return t("lack.line", { line: lack.of.name, names: lack.choice.map((action) => actionName(rules, action)).join(" / ") });
  if (lack.code === "still_apart" || lack.code === "held_joint") return t(`lack.${lack.code}`, { joint: lack.joint?.name ?? "" });
  if (lack.code === "not_enough") return t("lack.not_enough", { complaint: name(lack.felt.words) });
  if (!lack.of) return t(`lack.${lack.code}`);
  if (lack.code === "server_open" || lack.code === "cause_missing") return t(`lack.${lack.code}`);
  const label = fieldLabel(lack.of, lack.field);
  return ["missing", "must"].includes(lack.code) ? t(`lack.${lack.code}`, { label }) : `${label}: ${problemWords(lack)}`;
}

/** All that is lacking, each a way to where it is put right. @param {any} now */
export function lackList(now, lacks = now.workLacks) {
  const rows = lacks.map((lack) => {
    const words = lackWords(now, lack);
    if (!lack.of) return h("li", null, words);
    const href = hash("vehicle", now.vehicle.unit, "ticket", now.ref, "line", lineRef(lack.of.line));
    return h("li", null, h("a", { class: "bay-item", href }, h("span", { class: "small soft" }, lack.of.name), words));
  });
  return h("ul", { class: "bay-list" }, rows);
}

const STEPS = ["work", "check", "release", "test", "close"];

/** The way out of the ticket, the present step marked. @param {any} now @param {Record<string, HTMLElement>} act */
export function stepList(now, act = {}) {
  const steps = now.needsCheck ? STEPS : ["work", "close"];
  const at = steps.indexOf(now.step);
  const rows = steps.map((step, place) => {
    const done = now.over || (at >= 0 && place < at);
    const here = step === now.step;
    const state = here ? h("span", { class: "act by" }, t("step.now")) : done ? h("span", { class: "soft by" }, t("step.done")) : null;
    return h("li", { class: `step step--${here ? "now" : done ? "done" : "later"}`, "aria-current": here ? "step" : null }, t(`step.${step}`), " ", state, here && act[step]);
  });
  return h("ol", { class: "steps" }, rows);
}

/** What was only claimed here: the vehicle is held until the server has accepted it. */
export function claims(now) {
  const { ticket, desk } = now;
  if (now.vehicle.let_out?.length && !now.vehicle.holds.length) return null;
  const made = [...ticket.checks, ...ticket.releases, ...ticket.tests].some((one) => one.here && one.here !== "accepted");
  const closed = ticket.closed_here && ticket.closed_here.status !== "accepted";
  if (!made && !closed) return null;
  const waits = desk.operations.some((op) => ["waiting", "sent", "parked"].includes(op.status));
  const others = now.vehicle.holds.filter((hold) => !now.holds.includes(hold));
  const claim = h("div", { class: "hold" }, h("p", { class: "hold-word" }, t("held_must_not")), h("p", null, t(closed ? "claim.closed" : "claim.checked")), waits && h("p", { class: "soft" }, t("claim.waits")));
  // What no close of this ticket lifts is not forgotten beside it.
  return h("div", { class: "stack" }, claim, others.length > 0 && holdsOn({ ...now.vehicle, holds: others }));
}

/** Who recorded a line, when, and whether the server has it. */
export function entryWords(entry, when) {
  const who = entry.done_by ? t("line.by_for", { who: entry.by_name, done_by: entry.done_by, when: when(entry.at) }) : t("line.by", { who: entry.by_name, when: when(entry.at) });
  return entry.here && entry.here !== "accepted" ? `${who} ${t("line.here")}` : who;
}

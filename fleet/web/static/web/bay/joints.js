// A joint in words: its name, how it was last found, what it is held against.

import { h } from "./dom.js";
import { day, name, t } from "./words.js";

/** 'Ball joint, upper, left': the kind's name and the side from the driver's seat. */
export function nameOfJoint(joint, rules) {
  const kind = name(rules.kinds[joint.kind]?.names) || joint.kind;
  return joint.side ? t("joint.sided", { joint: kind, side: t(`side.${joint.side}`) }) : kind;
}

/** A word that begins a choice. @param {string} text */
export const capital = (text) => text.slice(0, 1).toUpperCase() + text.slice(1);

/** A finding's name. @param {any} rules @param {string} code */
export const findingName = (rules, code) => name(rules.findings[code]?.names) || code;

/** A method's name. @param {any} rules @param {string} code */
export const methodName = (rules, code) => name(rules.methods[code]?.names) || code;

/** An action's name. @param {any} rules @param {string} code */
export const actionName = (rules, code) => name(rules.actions[code]?.names) || code;

/** A line's name: its work, and the joint where it has one. */
export function lineName(vehicle, line, rules) {
  const joint = vehicle.joints.find((one) => one.id === line.joint);
  return joint ? t("line.name", { work: actionName(rules, line.action), joint: joint.name }) : actionName(rules, line.action);
}

/** How a joint was last found, and when. */
export function lastFound(joint, rules) {
  if (!joint.last) return t("joint.never");
  return t("joint.last", { found: findingName(rules, joint.last.code), day: day(joint.last.at) });
}

/** Its torque figure with where it comes from. @param {any} spec */
export function figureLine(spec) {
  if (!spec) return h("span", { class: "soft" }, t("joint.no_figure"));
  const parts = [spec.angle && t("joint.angle", { angle: spec.angle }), spec.new_fastener && t("joint.new_fastener"), t(`threads.${spec.thread_condition}`)];
  return h("span", null, t("joint.figure", { figure: spec.typed, source: spec.source }), " ", h("span", { class: "soft" }, `${capital(parts.filter(Boolean).join("; "))}.`));
}

/** A published line of play, with its origin. @param {any} limit */
export function limitLine(limit) {
  if (!limit) return null;
  const line = `${limit.as_printed} ${limit.unit ?? ""}`.trim();
  return h("span", { class: "soft" }, t("joint.limit", { line, source: limit.citation }));
}

const MARKS = ["bad", "moved", "no_play", "play", "tight", "unknown"];

/** The joint's mark, with its words for who does not see it. @param {string} mark */
export function markOf(mark) {
  const kind = MARKS.includes(mark) ? mark : "unknown";
  return h("span", { class: `bay-state-mark mark-${kind}`, role: "img", "aria-label": t(`mark.${kind}`) });
}

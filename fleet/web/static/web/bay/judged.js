// What the rules say, in words: of a look, of a figure, of what is missing. Codes come from the
// rules, words from the catalogue; a code without words of its own is said as it is.

import { h } from "./dom.js";
import { findingName, limitLine, methodName } from "./joints.js";
import { formatLength, formatTorque, parseLength, parseTorque } from "./rules/units.js";
import { name, t } from "./words.js";

/** What is wrong with one thing typed. @param {{code: string, field: string, hint?: string}} problem */
export function problemWords({ code, hint = "" }, params = {}) {
  const text = t(`problem.${code}`, { hint, spec: hint, tool: "", joint: "", ...params });
  if (text !== `problem.${code}`) return text;
  return hint ? t("problem.unread", { hint }) : t("problem.other", { code });
}

/**
 * What a look calls for, and why: a hold is said at once.
 * @param {any} desk @param {import("./rules/looks.js").Seen} seen
 * @returns {HTMLElement[]}
 */
export function verdictLines(desk, seen) {
  const { verdict } = seen;
  if (!verdict) return [];
  const answer = verdict.answer && h("p", null, h("span", { class: "strong" }, t(`answer.${verdict.answer}`)), " ", limitLine(verdict.limit), " ", verdict.limit && h("span", { class: "soft" }, t("answer.not_service")), limitNote(desk, seen));
  const calls = h("p", { class: verdict.response === "hold" ? "act" : "soft" }, verdict.response === "hold" ? t("look.holds", { why: whyHolds(desk, seen) }) : t(verdict.response === "line" ? "look.line" : "look.noted"));
  return [answer, calls].filter(Boolean);
}

function limitNote(desk, { joint }) {
  const note = name(desk.rules.kinds[joint.kind]?.limit_note);
  return note ? h("span", { class: "soft" }, ` ${note}`) : null;
}

/** Why a look holds the vehicle, in one line. */
export function whyHolds(desk, { joint, look, degrees, verdict }) {
  const found = findingName(desk.rules, look.code).toLowerCase();
  if (look.code === "play") return t(`why.${anyPlayHolds(desk, joint) ? "any_play" : verdict.answer}`, { joint: joint.name });
  if (look.code !== "moved") return t("why.found", { joint: joint.name, found });
  const far = desk.rules.responses[joint.response].moved.hold_from_degrees;
  return degrees !== null && degrees >= far ? t("why.far", { joint: joint.name, degrees: far }) : t("why.again", { joint: joint.name });
}

const anyPlayHolds = ({ rules }, { response }) => rules.responses[response].play.inside === "hold";

/** A look in a few words: what was found, how, with its figures. */
export function lookWords(desk, look) {
  const { rules } = desk;
  const parts = [findingName(rules, look.code)];
  if (look.code === "moved" && look.degrees) parts.push(t("look.degrees", { degrees: look.degrees.replace(/\s*°\s*$/, "") }));
  if (look.code === "play" && look.play) parts.push(look.play);
  if (look.method === "wrench" && look.torque) parts.push(t("look.by_tool", { torque: look.torque, tool: look.tool || "?" }));
  else if (look.method) parts.push(methodName(rules, look.method).toLowerCase());
  if (look.reason) parts.push(look.reason);
  return parts.join(", ");
}

/** A torque as it was understood, against its figure. @param {any} desk @param {any} seen */
export function torqueLine(desk, { torqueNm, wrenchNm, extensionM, band, spec }) {
  if (torqueNm === null || torqueNm === undefined) return null;
  const at = extensionM && torqueNm !== wrenchNm ? t("torque.at_fastener", { torque: shownTorque(desk, torqueNm) }) : shownTorque(desk, torqueNm);
  const against = spec && h("span", { class: "soft" }, t("torque.against", { figure: spec.typed, source: spec.source }));
  return h("p", null, at, " ", h("span", { class: band === "inside" ? "strong" : "act" }, t(`band.${band}`)), " ", against);
}

/** In the reader's own units, and the other's beside it. */
export function shownTorque(desk, newtonMetres) {
  const both = [formatTorque(newtonMetres, "lbf·ft"), formatTorque(newtonMetres, "N·m")];
  return `${desk.person.units === "metric" ? both.reverse().join(" (") : both.join(" (")})`;
}

/** A length in both, sixteenths or 64ths. */
export function shownLength(desk, metres, denominator = 32) {
  const both = [formatLength(metres, "in", denominator), formatLength(metres, "mm")];
  return `${desk.person.units === "metric" ? both.reverse().join(" (") : both.join(" (")})`;
}

/** A figure read back, or nothing where it can't be read. */
export function readBack(desk, kind, text, unit) {
  try {
    const { si } = kind === "torque" ? parseTorque(text, unit) : parseLength(text, unit, { signed: true });
    return kind === "torque" ? shownTorque(desk, si) : shownLength(desk, si, 64);
  } catch {
    return "";
  }
}

/** A method's caution, where the rules have one. */
export function caution(rules, code) {
  const method = rules.methods[code];
  return method?.caution ? h("p", { class: "caution" }, h("strong", null, `${name(method.names)}. `), name(method.caution)) : null;
}

/** Manufacturer's service information stands above all of this. */
export const governs = () => h("p", { class: "caution" }, t("governs"));

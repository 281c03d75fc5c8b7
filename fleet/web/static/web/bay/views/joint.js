// One joint: how it stands, what it is held against, and what can be done about it here.

import { h } from "../dom.js";
import { governs } from "../judged.js";
import { figureLine, lastFound, limitLine, lineName, markOf, methodName } from "../joints.js";
import { hash } from "../route.js";
import { standing } from "../standing.js";
import { vehicleOf } from "../told.js";
import { backTo, holdsOn, nowhere } from "../vehicle_parts.js";
import { day, name, t } from "../words.js";

/** @param {import("../desk.js").Desk} desk @param {{unit: string, joint: string}} params */
export function show(desk, { unit, joint: id }) {
  const vehicle = vehicleOf(standing(desk), unit);
  const joint = vehicle?.joints.find((one) => String(one.id) === id);
  if (!joint) return nowhere(unit);
  const title = `${unit}: ${joint.name}`;
  const body = h("div", { class: "stack" }, backTo(t("back_to", { unit }), "vehicle", unit), h("h1", null, markOf(joint.mark), " ", joint.name), holdsOn(vehicle), facts(desk, vehicle, joint), lines(desk, vehicle, joint), actions(unit, vehicle, joint), hint(desk, joint), governs());
  return { title, body, live: true };
}

function facts({ rules }, vehicle, joint) {
  const owed = vehicle.due.filter((one) => one.joint === joint.id).map((one) => t("joint.owed", { what: name(one.words), day: day(one.falls_on ?? one.due_on) }));
  const rows = [
    [t("joint.stands"), [t(`mark.${joint.mark}`), ". ", lastFound(joint, rules), joint.holds && ` ${t("joint.can_hold")}`]],
    owed.length && [t("joint.owed_title"), owed.join(" ")],
    [t("joint.figure_title"), joint.never_retorqued ? t("joint.never_retorqued") : figureLine(joint.spec)],
    joint.limit && [t("joint.limit_title"), limitLine(joint.limit)],
    [t("joint.methods"), joint.methods.map((code) => methodName(rules, code)).join(", ")],
  ].filter(Boolean);
  return h("dl", { class: "bay-facts" }, rows.map(([term, said]) => h("div", null, h("dt", null, term), h("dd", null, said))));
}

function lines({ rules }, vehicle, joint) {
  const rows = vehicle.tickets.flatMap((ticket) => ticket.lines.filter((line) => line.joint === joint.id).map((line) => h("li", null, h("a", { class: "bay-item", href: hash("vehicle", vehicle.unit, "ticket", ticket.id ?? ticket.uid) }, lineName(vehicle, line, rules), h("span", { class: "soft small" }, t(`line.${line.state}`))))));
  return rows.length > 0 && h("section", { class: "section stack" }, h("h2", null, t("joint.lines")), h("ul", { class: "bay-list" }, rows));
}

function actions(unit, vehicle, joint) {
  const open = vehicle.tickets.find((ticket) => !["closed", "cancelled"].includes(ticket.state));
  const link = (href, key, plain) => h("a", { class: plain ? "button button--plain" : "button", href }, t(key));
  return h("p", { class: "bay-actions" },
    link(`${hash("vehicle", unit, "sheet")}?joint=${joint.id}`, "joint.inspect"),
    open && link(`${hash("vehicle", unit, "ticket", open.id ?? open.uid)}?joint=${joint.id}`, "joint.add_line", true),
    link(`${hash("vehicle", unit, "hold")}?joint=${joint.id}`, "joint.hold", true));
}

function hint({ rules }, joint) {
  const text = name(rules.kinds[joint.kind]?.hint);
  return text ? h("p", { class: "caution" }, text) : null;
}

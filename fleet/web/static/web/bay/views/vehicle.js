// One vehicle: what holds it, what is due, its joints, and what can be started here.

import { h } from "../dom.js";
import { hash } from "../route.js";
import { standing } from "../standing.js";
import { dueOn, jointName, linesDone, ticketName, vehicleOf } from "../told.js";
import { holdsOn, nowhere } from "../vehicle_parts.js";
import { day, name, t } from "../words.js";

const MARKS = new Set(["bad", "moved", "no_play", "play", "tight", "unknown"]);

/** @param {import("../desk.js").Desk} desk @param {{unit: string}} params */
export function show(desk, { unit }) {
  const vehicle = vehicleOf(standing(desk), unit);
  if (!vehicle) return nowhere(unit);
  const title = t("vehicle.title", { unit });
  const body = h("div", { class: "stack" },
    h("h1", null, unit, " ", h("span", { class: "soft bay-words" }, name(vehicle.words))),
    holdsOn(vehicle),
    start(vehicle),
    tickets(desk, vehicle),
    due(vehicle),
    joints(vehicle),
    caution());
  return { title, body, live: true };
}

function start({ unit }) {
  const places = [["sheet", "vehicle.sheet"], ["meter", "vehicle.meter"], ["open", "vehicle.open"], ["hold", "vehicle.hold"], ["drawing", "vehicle.drawing"]];
  return h("p", { class: "bay-actions" }, places.map(([place, key], at) => h("a", { class: at ? "button button--plain" : "button", href: hash("vehicle", unit, place) }, t(key))));
}

const section = (title, ...children) => h("section", { class: "section stack" }, h("h2", null, title), children);

function tickets(desk, vehicle) {
  if (!vehicle.tickets.length) return null;
  const rows = vehicle.tickets.map((ticket) => {
    const said = t("vehicle.lines", linesDone(ticket));
    return h("li", null, h("a", { class: "bay-item", href: hash("vehicle", vehicle.unit, "ticket", ticket.id ?? ticket.uid) }, h("span", { class: "strong" }, ticketName(desk, ticket)), h("span", { class: "soft" }, said)));
  });
  return section(t("vehicle.tickets"), h("ul", { class: "bay-list" }, rows));
}

function due(vehicle) {
  if (!vehicle.due.length) return null;
  const rows = vehicle.due.map((one) => {
    const where = one.joint ? `, ${jointName(vehicle, one.joint)}` : "";
    const by = h("span", { class: "soft" }, dueOn(one) ? t("vehicle.by", { day: day(dueOn(one)) }) : "");
    return h("li", null, h("a", { class: "bay-item", href: `${hash("vehicle", vehicle.unit, "sheet")}?due=${one.id}` }, h("span", null, name(one.words), where), by));
  });
  return section(t("vehicle.due"), h("ul", { class: "bay-list" }, rows));
}

function joints(vehicle) {
  const fitted = vehicle.joints.filter((joint) => joint.fitted !== "not_fitted");
  const rows = fitted.map((joint) => {
    const kind = MARKS.has(joint.mark) ? joint.mark : "unknown";
    const mark = h("span", { class: `bay-state-mark mark-${kind}`, "aria-hidden": "true" });
    const last = joint.last ? t("vehicle.last", { day: day(joint.last.at) }) : t("vehicle.never");
    return h("li", null, h("a", { class: "bay-item bay-joint", href: hash("vehicle", vehicle.unit, "joint", joint.id) }, mark, h("span", null, name(joint.name)), h("span", { class: "soft small" }, t(`mark.${kind}`), " ", h("span", { class: "by" }, last))));
  });
  return h("details", { class: "section bay-more", id: "joints" }, h("summary", null, t("vehicle.joints", { count: fitted.length })), h("ul", { class: "bay-list" }, rows));
}

const caution = () => h("p", { class: "caution" }, t("vehicle.caution"));

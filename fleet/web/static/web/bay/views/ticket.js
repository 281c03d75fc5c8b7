// A ticket: its lines and what each lacks, the steps out of it, and work to be added.

import { button, field, form, h } from "../dom.js";
import { governs } from "../judged.js";
import { actionName, markOf } from "../joints.js";
import { hash } from "../route.js";
import { actionsFor } from "../rules/work.js";
import { NoRoom } from "../store.js";
import { lineRef, ticketAt } from "../ticket_model.js";
import { claims, entryWords, lackList, lackWords, stepList } from "../ticket_words.js";
import { ticketName } from "../told.js";
import { backTo, holdsOn, nowhere } from "../vehicle_parts.js";
import { name, t, when } from "../words.js";

const DROPS = ["not_needed", "other_work", "by_mistake"];

/** @param {import("../desk.js").Desk} desk @param {Record<string, string>} params */
export function show(desk, { unit, ref, joint }) {
  const now = ticketAt(desk, unit, ref);
  if (!now) return gone(desk, unit);
  const title = now.ticket.id ? t("ticket.title", { number: now.ticket.id, unit }) : t("ticket.title_here", { unit });
  const place = h("div", { class: "stack" });
  const add = now.over ? null : adding(now, Number(joint) || null);
  const draw = () => place.replaceChildren(...parts(ticketAt(desk, unit, ref) ?? now));
  draw();
  const body = h("div", { class: "stack" }, backTo(t("back_to", { unit }), "vehicle", unit), h("h1", null, title), place, add, governs());
  // Nothing is drawn anew under a hand that types.
  const typing = () => place.contains(document.activeElement) && document.activeElement.matches("input, textarea");
  return { title, body, busy: true, update: () => typing() || draw() };
}

function gone(desk, unit) {
  const found = nowhere(unit);
  const title = t("ticket.gone");
  found.title = title;
  found.body = h("div", { class: "stack" }, backTo(t("back_to", { unit }), "vehicle", unit), h("h1", null, title), h("p", null, t("ticket.gone_text")));
  return found;
}

function parts(now) {
  const { ticket } = now;
  const said = [ticketName(now.desk, ticket), ...now.complaints.map((one) => name(one.words))].filter(Boolean);
  return [
    said.length > 0 && h("p", { class: "lead" }, said.join(" · ")),
    claims(now) ?? holdsOn(now.vehicle),
    h("section", { class: "stack" }, h("h2", null, t("ticket.steps")), stepList(now, ways(now))),
    h("section", { class: "stack" }, h("h2", null, t("ticket.lines")), now.lines.length ? now.lines.map((one) => lineRow(now, one)) : h("p", null, t("ticket.no_lines"))),
    others(now),
    now.passedCheck?.here && now.vehicle.holds.length > 0 && h("p", null, h("a", { class: "button button--plain", href: hash("vehicle", now.vehicle.unit, "ticket", now.ref, "read-over") }, t("read_over.link"))),
  ].filter(Boolean);
}

/** What stands in the way beside what the lines lack. */
function others(now) {
  const rest = now.workLacks.filter((lack) => !lack.of || lack.code === "line_missing");
  return rest.length > 0 && h("section", { class: "stack" }, h("h2", null, t("ticket.also")), lackList(now, rest));
}

function ways(now) {
  const link = (place, key) => h("a", { class: "button button--act", href: hash("vehicle", now.vehicle.unit, "ticket", now.ref, place) }, t(key));
  return { check: link("check", "step.do_check"), release: link("close", "step.do_release"), test: link("close", "step.do_test"), close: link("close", "step.do_close") };
}

function lineRow(now, one) {
  const { line, joint } = one;
  const complete = line.entry && !one.lacks.length;
  const href = hash("vehicle", now.vehicle.unit, "ticket", now.ref, "line", lineRef(line));
  const lacks = line.entry ? one.lacks.map((lack) => h("li", null, lackWords(now, { ...lack, of: one }))) : [];
  return h("article", { class: "line stack" },
    h("div", { class: "row row--ends" }, h("h3", null, joint && markOf(joint.mark), " ", one.name), h("span", { class: complete ? "soft" : "act" }, t(complete ? "line.complete" : "line.open"))),
    line.entry ? h("p", { class: "small soft" }, entryWords(line.entry, when)) : h("p", { class: "small soft" }, t("line.nothing")),
    lacks.length > 0 && h("ul", { class: "lacks" }, lacks),
    !now.over && h("p", { class: "bay-actions" }, h("a", { class: complete ? "button button--plain" : "button", href }, t(line.entry ? "line.again" : "line.record")), dropping(now, line)));
}

/** A line is dropped with a reason; what was recorded for it stays on file. */
function dropping(now, line) {
  const place = h("span", null);
  const start = () => {
    const reason = field({ name: `drop-${lineRef(line)}`, label: t("line.why_drop"), maxlength: 200 });
    const often = DROPS.map((code) => button(t(`drop.${code}`), () => (reason.input.value = t(`drop.${code}`)), "plain"));
    const send = async () => {
      const typed = reason.input.value.trim();
      reason.wrong(typed ? "" : t("line.why_drop_wanted"));
      if (typed) await now.desk.do("drop_line", { line: now.nameLine(line), reason: typed });
    };
    place.replaceChildren(form(t("line.drop_send"), send, h("div", { class: "look-codes" }, often), reason));
    reason.input.focus();
  };
  place.append(button(t("line.drop"), start, "plain"));
  return place;
}

/** Work to be added: the joint first, then what can be done there. */
function adding(now, chosen) {
  const { vehicle, rules, desk } = now;
  const where = field({ name: "joint", tag: "select", label: t("add.joint") });
  const fitted = vehicle.joints.filter((joint) => joint.fitted !== "not_fitted");
  where.input.append(h("option", { value: "" }, t("add.whole")), ...fitted.map((joint) => h("option", { value: joint.id, selected: joint.id === chosen }, joint.name)));
  const what = field({ name: "action", tag: "select", label: t("add.action") });
  const jointNow = () => fitted.find((joint) => String(joint.id) === where.input.value) ?? null;
  const fill = () => what.input.replaceChildren(...actionsFor(jointNow(), rules).map((action) => h("option", { value: action }, actionName(rules, action))));
  where.input.addEventListener("change", fill);
  fill();
  const send = async () => {
    try {
      await desk.do("add_line", { ticket: now.ref, action: what.input.value, joint: jointNow()?.id ?? null });
    } catch (error) {
      if (!(error instanceof NoRoom)) throw error;
      what.wrong(t("no_room"));
    }
  };
  return h("details", { class: "bay-more", open: chosen !== null || !now.lines.length }, h("summary", null, t("add.title")), form(t("add.send"), send, where, what));
}

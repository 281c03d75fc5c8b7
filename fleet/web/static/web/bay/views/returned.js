// What the server did not take comes back here to who made it: corrected, or left with a reason.

import { button, field, form, h } from "../dom.js";
import { wayOn } from "../route.js";
import { standing } from "../standing.js";
import { byWhom, nameOf, placeToCorrect, told } from "../told.js";
import { name, t, tn, when } from "../words.js";

/** @param {import("../desk.js").Desk} desk @param {{uid?: string}} params */
export function show(desk, { uid }) {
  const all = desk.log.returned();
  if (uid) return one(desk, all.find((op) => op.uid === uid));
  const title = t("returned.title");
  const mine = all.filter((op) => op.person === desk.person.id);
  const theirs = all.filter((op) => op.person !== desk.person.id);
  const body = h("div", { class: "stack" }, h("h1", null, title), h("p", null, all.length ? t("returned.never_lost") : t("returned.none")), list(desk, mine));
  if (theirs.length) body.append(h("section", { class: "section stack" }, h("h2", null, tn("returned.others", theirs.length)), list(desk, theirs)));
  return { title, body, live: true };
}

const list = (desk, found) => h("ul", { class: "bay-list" }, found.map((op) => h("li", null, h("a", { class: "bay-item", href: `#/returned/${op.uid}` }, h("span", { class: "strong" }, told(standing(desk), op)), h("span", { class: "soft small" }, byWhom(desk, op)), h("span", null, op.problems.map((problem) => problem.message).join(" "))))));

function one(desk, op) {
  if (!op) return { title: t("returned.settled"), body: h("div", { class: "stack" }, h("h1", null, t("returned.settled")), h("p", null, h("a", { class: "button", href: "#/returned" }, t("returned.title")))) };
  const title = told(standing(desk), op);
  const mine = op.person === desk.person.id;
  const body = h("div", { class: "stack" }, h("p", null, h("a", { class: "bay-link", href: "#/returned" }, t("returned.title"))), h("h1", null, title), h("p", { class: "soft" }, byWhom(desk, op)), problems(op), beside(desk, op), held(desk, op));
  if (mine) body.append(...choices(desk, op));
  else body.append(h("p", { class: "warning" }, t("returned.not_yours", { name: nameOf(desk, op.person) })));
  return { title, body, busy: mine };
}

const problems = (op) => h("div", { class: "hold" }, h("ul", null, op.problems.map((problem) => h("li", null, h("span", { class: "strong" }, problem.message), problem.hint && ` ${problem.hint}`))));

function held(desk, op) {
  const count = desk.operations.filter((other) => other.because === op.uid && other.status === "parked").length;
  return count > 0 && h("p", null, tn("returned.holds_back", count));
}

/** What stands there now beside what was typed here. */
function beside(desk, op) {
  return theirsOf(op).map((theirs) => {
    const there = theirs.typed ?? {};
    const here = op.body.typed ?? {};
    const rows = [...new Set([...Object.keys(there), ...Object.keys(here)])];
    const who = t("returned.theirs", { name: theirs.by_name ?? nameOf(desk, theirs.by), when: theirs.at ? when(theirs.at) : "" });
    const head = h("thead", null, h("tr", null, h("td"), h("th", { scope: "col" }, who), op.body.typed && h("th", { scope: "col" }, t("returned.mine"))));
    const cells = rows.map((key) => h("tr", null, h("th", { scope: "row" }, label(desk, key)), h("td", null, said(there[key])), op.body.typed && h("td", null, said(here[key]))));
    return h("table", { class: "bay-beside" }, head, h("tbody", null, cells));
  });
}

/** Who recorded what meanwhile: several where somebody has checked or closed a whole ticket. */
const theirsOf = (op) => [op.theirs].flat().filter(Boolean);

const label = (desk, key) => name(desk.rules?.fields?.[key]?.name) || t(`field.${key}`).replace(/^field\./, "").replaceAll("_", " ");

function said(value) {
  if (value === undefined || value === null || value === "") return "–";
  if (typeof value === "boolean") return t(value ? "yes" : "no");
  return typeof value === "object" ? (name(value) || JSON.stringify(value)) : String(value);
}

function choices(desk, op) {
  const place = placeToCorrect(desk.pack, op);
  const [theirs] = theirsOf(op);
  const reason = field({ name: "reason", tag: "textarea", label: t("returned.reason"), hint: t("returned.reason_hint"), maxlength: 300 });
  const leave = async () => {
    const typed = reason.input.value.trim();
    reason.wrong(typed ? "" : t("returned.reason_wanted"));
    if (!typed) return reason.input.focus();
    const onward = wayOn();
    await desk.do("set_aside", { operation: op.uid, reason: typed });
    onward("#/returned");
  };
  const standIn = async () => {
    const onward = wayOn();
    await desk.do(op.verb, { ...op.body, saw: theirs.uid }, { insteadOf: op.uid });
    onward("#/returned");
  };
  return [
    place && h("p", null, h("a", { class: "button", href: place }, t("returned.correct"))),
    op.verb === "record_line" && theirs?.uid && h("p", null, button(t("returned.stand_in"), standIn, "plain")),
    h("section", { class: "section stack" }, h("h2", null, t("returned.leave")), form(t("returned.leave_send"), leave, reason)),
  ].filter(Boolean);
}

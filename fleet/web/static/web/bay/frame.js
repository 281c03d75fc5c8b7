// The head of every page: whose page it is, what waits, when the server last spoke.

import { button, h } from "./dom.js";
import { svg } from "./dom.js";
import { t, tn, when } from "./words.js";

const MARK = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="-12 -12 24 24" width="32" height="32" class="bay-mark" aria-hidden="true"><circle r="7.6"/><path d="M0-9.8V9.8"/></svg>';

/**
 * Draw the head anew.
 * @param {{desk: import("./desk.js").Desk | null, lock: () => void}} app
 */
export function drawTop(app) {
  const { desk } = app;
  const brand = h("a", { class: "brand", href: "#/", id: "brand" }, svg(MARK), t("bay"));
  const own = desk && h("div", { class: "bay-own" }, h("a", { class: "bay-link", href: "#/settings", id: "me" }, desk.person.name), button(t("lock"), () => app.lock(), "plain", { id: "lock" }));
  const line = desk && h("nav", { class: "bay-state", "aria-label": t("state.label") }, h("a", { class: "bay-link", href: "#/status", id: "state" }, stateLine(desk)), returnedLink(desk));
  const top = document.getElementById("top");
  const before = top.contains(document.activeElement) ? document.activeElement.id : null;
  top.replaceChildren(h("div", { class: "bay-head" }, brand, own), ...(line ? [line] : []));
  if (before) document.getElementById(before)?.focus();
}

function returnedLink(desk) {
  const count = desk.log.returned().length;
  return count > 0 && h("a", { class: "bay-link act", href: "#/returned", id: "returned" }, tn("state.returned", count));
}

/** Operations that the server has not judged for good. @param {import("./desk.js").Desk} desk */
export const waiting = (desk) => desk.operations.filter((op) => ["waiting", "sent", "parked"].includes(op.status)).length;

/** What waits and when the server last spoke, in one line. @param {import("./desk.js").Desk} desk */
export function stateLine(desk) {
  const count = waiting(desk);
  const photos = desk.photos.waiting;
  const wait = [count && tn("state.waiting", count), photos && tn("state.photos", photos)].filter(Boolean).join(" ") || t("state.nothing_waits");
  return `${wait} ${spokeLine(desk)}`;
}

/** @param {import("./desk.js").Desk} desk */
export function spokeLine(desk) {
  const { sync } = desk;
  if (sync.busy) return t("state.talking");
  if (sync.trouble === "revoked") return t("state.revoked");
  if (sync.trouble === "unknown") return t("state.unknown");
  const spoke = sync.spoke ? t("state.spoke", { when: when(sync.spoke.at) }) : t("state.never");
  if (sync.trouble === "no_answer") return `${t("state.no_answer")} ${spoke}`;
  return sync.trouble === "server" ? `${t("state.server")} ${spoke}` : spoke;
}

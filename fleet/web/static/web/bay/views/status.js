// Every operation of this tablet with how it stands, and the talk with the server.

import { button, h } from "../dom.js";
import { spokeLine, waiting } from "../frame.js";
import { standing } from "../standing.js";
import { room } from "../store.js";
import { byWhom, howItStands, told } from "../told.js";
import { t, tn, when } from "../words.js";

const PAGE = 50;
let shown = PAGE;

/** @param {import("../desk.js").Desk} desk */
export async function show(desk) {
  const title = t("status.title");
  const list = desk.operations.reverse();
  const body = h("div", { class: "stack" },
    h("h1", null, title),
    h("p", { class: "lead" }, waiting(desk) ? tn("state.waiting", waiting(desk)) : t("state.nothing_waits")),
    desk.photos.waiting > 0 && h("p", { class: "lead" }, tn("state.photos", desk.photos.waiting)),
    h("p", null, spokeLine(desk)),
    desk.sync.said && h("p", { class: "warning" }, desk.sync.said),
    h("p", null, button(t("status.send"), () => desk.sync.run(), "", { id: "send" })),
    kept(desk, await room()),
    operations(desk, list));
  return { title, body, live: true };
}

function kept(desk, free) {
  const rows = [
    [t("on.pack"), desk.pack ? tn("on.pack_says", desk.pack.vehicles.length, { when: when(desk.pack.made_at) }) : t("on.nothing")],
    [t("status.tablet"), desk.tablet.name],
    [t("status.clock"), clock(desk)],
    free && [t("status.room"), t("status.room_says", { used: (free.used / 1e6).toFixed(1), left: Math.floor(free.left / 1e6).toLocaleString("en-US") })],
    free && [t("status.stays"), free.kept ? t("status.stays_yes") : t("status.stays_no")],
    [t("status.build"), desk.build],
  ].filter(Boolean);
  return h("dl", { class: "bay-facts" }, rows.map(([term, said]) => h("div", null, h("dt", null, term), h("dd", null, said))));
}

function clock(desk) {
  const offset = desk.sync.spoke?.offset_ms;
  if (offset === null || offset === undefined) return t("status.clock_unknown");
  const seconds = Math.round(Math.abs(offset) / 1000);
  if (seconds < 5) return t("status.clock_right");
  return t(offset > 0 ? "status.clock_behind" : "status.clock_ahead", { seconds: seconds.toLocaleString("en-US") });
}

function operations(desk, list) {
  if (!list.length) return h("p", null, t("status.none"));
  const rows = list.slice(0, shown).map((op) => h("li", { class: "bay-op" }, h("p", { class: "strong" }, told(standing(desk), op)), h("p", { class: "soft small" }, byWhom(desk, op)), h("div", null, howItStands(op))));
  const more = list.length > shown && h("p", null, button(t("status.more", { count: list.length - shown }), () => ((shown += PAGE), desk.tell()), "plain", { id: "more" }));
  return h("section", { class: "section stack" }, h("h2", null, t("status.list")), h("p", { class: "soft" }, t("status.seven_days")), h("ol", { class: "plain bay-ops" }, rows), more);
}

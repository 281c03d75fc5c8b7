// Today's work of this yard, and plainly what is on the tablet.

import { field, h } from "../dom.js";
import { spokeLine, waiting } from "../frame.js";
import { hash } from "../route.js";
import { standing } from "../standing.js";
import { LITTLE_BYTES, room } from "../store.js";
import { dueOn, linesDone, ticketName } from "../told.js";
import { dateAt, day, name, t, tn, when } from "../words.js";

const WEEK_DAYS = 7;

/** @param {import("../desk.js").Desk} desk */
export async function show(desk) {
  const pack = standing(desk);
  const title = pack ? t("home.title", { yard: name(pack.yard.name) }) : t("home.empty");
  const body = h("div", { class: "stack" }, h("h1", null, title), warnings(desk), returned(desk), unfinished(desk));
  if (pack) body.append(...work(desk, pack), others(pack));
  else body.append(h("p", null, desk.sync.trouble === "revoked" ? t("state.revoked") : t("home.none_yet")));
  body.append(onTablet(desk, pack, await room()));
  return { title, body, live: true };
}

function warnings(desk) {
  const { trouble } = desk.sync;
  return ["revoked", "unknown"].includes(trouble) && h("p", { class: "warning" }, t(`state.${trouble}`));
}

function returned(desk) {
  const count = desk.log.returned().length;
  return count > 0 && h("p", { class: "warning" }, h("a", { class: "bay-link act", href: "#/returned", id: "home-returned" }, tn("state.returned", count)), " ", t("returned.never_lost"));
}

// A draft whose key is a place of this page can be gone on with there.
function unfinished(desk) {
  const kept = [...desk.drafts.values()].filter((draft) => draft.key.startsWith("/")).sort((one, other) => other.at - one.at);
  if (!kept.length) return null;
  const rows = kept.map(({ key, at }) => h("li", null, h("a", { class: "bay-item", href: `#${key}` }, h("span", { class: "strong" }, draftName(key)), h("span", { class: "soft" }, t("home.kept", { when: when(at) })))));
  return section(t("home.unfinished"), h("ul", { class: "bay-list" }, rows));
}

function draftName(key) {
  const parts = key.split("/").filter(Boolean).map(decodeURIComponent);
  const what = parts.findLast((part) => ["sheet", "hold", "meter", "open", "line", "check", "close", "ticket"].includes(part)) ?? "sheet";
  return t("verb.on", { verb: t(`draft.${what}`), unit: parts[1] });
}

const section = (title, ...children) => h("section", { class: "section stack" }, h("h2", null, title), children);

/** Vehicles with something to do, held ones first, then by what is due soonest. */
function work(desk, pack) {
  const today = dateAt(desk.now());
  const week = dateAt(new Date(desk.now().getTime() + WEEK_DAYS * 86_400_000));
  const rows = pack.vehicles.map((vehicle) => ({ vehicle, dues: vehicle.due.filter((due) => dueOn(due) && dueOn(due) <= week) }));
  const held = rows.filter(({ vehicle }) => vehicle.holds.length);
  const open = rows.filter(({ vehicle }) => !vehicle.holds.length && vehicle.tickets.length);
  const due = rows.filter(({ vehicle, dues }) => !vehicle.holds.length && !vehicle.tickets.length && dues.length);
  due.sort((one, other) => (soonest(one) < soonest(other) ? -1 : 1));
  const groups = [["home.held", held], ["home.open", open], ["home.due", due]].filter(([, found]) => found.length);
  if (!groups.length) return [h("p", null, t("home.nothing"))];
  return groups.map(([key, found]) => section(t(key), h("ul", { class: "bay-list" }, found.map((row) => item(desk, row, today)))));
}

const soonest = ({ dues }) => dues.map(dueOn).sort()[0];

function item(desk, { vehicle, dues }, today) {
  const holds = vehicle.holds.map((hold) => h("span", { class: "bay-line" }, h("span", { class: "hold-word" }, t("held")), " ", name(hold.words)));
  const tickets = vehicle.tickets.map((ticket) => h("span", { class: "bay-line" }, ticketLine(desk, ticket)));
  const late = dues.filter((due) => dueOn(due) <= today);
  const due = dues.length > 0 && h("span", { class: "bay-line" }, late.length ? tn("home.due_now", late.length) : tn("home.due_soon", dues.length, { day: day(soonest({ dues })) }));
  return h("li", null, h("a", { class: "bay-item", href: hash("vehicle", vehicle.unit), id: `v-${vehicle.unit}` }, h("span", null, h("span", { class: "strong" }, vehicle.unit), " ", h("span", { class: "soft" }, name(vehicle.words))), holds, tickets, due));
}

function ticketLine(desk, ticket) {
  return t("home.ticket", { title: ticketName(desk, ticket), ...linesDone(ticket) });
}

function others(pack) {
  const search = field({ name: "unit", label: t("home.find"), type: "search", inputmode: "search" });
  const rows = pack.vehicles.map((vehicle) => h("li", null, h("a", { class: "bay-item", href: hash("vehicle", vehicle.unit) }, h("span", null, h("span", { class: "strong" }, vehicle.unit), " ", h("span", { class: "soft" }, name(vehicle.words))))));
  const none = h("p", { hidden: true }, t("home.no_such"));
  search.input.addEventListener("input", () => {
    const wanted = search.input.value.trim().toLowerCase();
    for (const row of rows) row.hidden = !row.textContent.toLowerCase().includes(wanted);
    none.hidden = rows.some((row) => !row.hidden);
  });
  return h("details", { class: "section bay-more", id: "all-vehicles" }, h("summary", null, tn("home.all", pack.vehicles.length)), search, h("ul", { class: "bay-list" }, rows), none);
}

function onTablet(desk, pack, free) {
  const rows = [
    [t("on.pack"), pack ? tn("on.pack_says", pack.vehicles.length, { when: when(desk.pack.made_at) }) : t("on.nothing")],
    [t("on.waits"), waiting(desk) ? tn("state.waiting", waiting(desk)) : t("state.nothing_waits")],
    [t("on.spoke"), spokeLine(desk)],
  ];
  const short = free && free.left < LITTLE_BYTES && h("p", { class: "warning" }, t("on.little_room", { left: Math.floor(free.left / 1e6) }));
  const list = h("dl", { class: "bay-facts" }, rows.map(([term, said]) => h("div", null, h("dt", null, term), h("dd", null, said))));
  return section(t("on.title"), short, list, h("p", null, h("a", { class: "button button--plain", href: "#/status" }, t("on.more"))));
}

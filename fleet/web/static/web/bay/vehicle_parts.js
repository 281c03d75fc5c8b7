// Pieces of a vehicle that more than one view shows.

import { h } from "./dom.js";
import { hash } from "./route.js";
import { name, t, when } from "./words.js";

/** What holds the vehicle, with each reason. @param {any} vehicle */
export function holdsOn(vehicle) {
  if (!vehicle.holds.length) return outOn(vehicle);
  const rows = vehicle.holds.map((hold) => h("li", null, name(hold.words), hold.placed_at && h("span", { class: "soft" }, ` ${when(hold.placed_at)}`)));
  return h("div", { class: "hold" }, h("p", { class: "hold-word" }, t("held_must_not")), h("ul", null, rows));
}

/** Out by a read-over release, and until when. */
function outOn(vehicle) {
  if (!vehicle.let_out?.length) return null;
  const until = vehicle.let_out.map((hold) => hold.out_until).sort()[0];
  return h("div", { class: "notice" }, h("p", { class: "strong" }, t("read_over.out", { until: when(until) })), h("p", null, t("read_over.lapses")));
}

/** No such vehicle on this tablet. @param {string} unit */
export function nowhere(unit) {
  const title = t("vehicle.none", { unit });
  return { title, body: h("div", { class: "stack" }, h("h1", null, title), h("p", null, t("vehicle.none_text")), h("p", null, h("a", { class: "button", href: "#/" }, t("to_start")))) };
}

/** The way back to a place. @param {string} text @param {...(string | number)} parts */
export const backTo = (text, ...parts) => h("p", null, h("a", { class: "bay-link", href: hash(...parts) }, text));

/**
 * Where something unfinished is kept: at its place, and apart for each refused entry that is being
 * put right, so that neither takes the other's room.
 * @param {string | undefined} instead @param {...(string | number)} parts
 */
export function draftKey(instead, ...parts) {
  const place = hash(...parts).slice(1);
  return instead ? `${place}?instead=${instead}` : place;
}

// Photos beside what they are of: the button, and those that wait on this tablet.

import { button, h, say, undoBar } from "./dom.js";
import { t, tn, when } from "./words.js";

/**
 * @param {import("./desk.js").Desk} desk
 * @param {{vehicle: string, joint: number | null | (() => number | null), about: () => string}} of
 *   `about` is asked when a photo is taken
 */
export function photoStrip(desk, of) {
  const joint = () => (typeof of.joint === "function" ? of.joint() : of.joint);
  const wrong = h("div", null);
  const count = h("p", { class: "soft small", "aria-live": "polite" });
  const list = h("ul", { class: "plain photo-list" });
  const input = h("input", { type: "file", accept: "image/*", capture: "environment", multiple: true, hidden: true, "aria-hidden": "true", tabindex: "-1" });
  const strip = h("section", { class: "stack photo-strip", "aria-label": t("photo.title") }, h("p", null, button(t("photo.take"), () => input.click(), "plain"), input), wrong, count, list);
  const take = async () => {
    const files = [...input.files];
    input.value = "";
    if (!files.length) return;
    wrong.replaceChildren();
    const came = await desk.photos.add(files, { vehicle: of.vehicle, joint: joint(), about: of.about() });
    wrong.replaceChildren(...wrongWords(came).map((words) => h("p", { class: "warning", role: "alert" }, words)));
    if (came.kept) say(tn("photo.kept", came.kept));
  };
  const mine = (note) => note.vehicle === of.vehicle && note.joint === joint();
  const draw = () => {
    const { adding } = desk.photos;
    count.textContent = adding ? t("photo.keeping", { done: adding.done, all: adding.all }) : "";
    showIn(list, desk, desk.photos.of(mine));
  };
  input.addEventListener("change", take);
  whileShown(strip, desk, draw);
  draw();
  return strip;
}

function wrongWords({ unread, full, kept }) {
  return [full && t("photo.no_room", { kept }), unread && tn("photo.unread", unread)].filter(Boolean);
}

/** Only what is new is drawn, and what is gone goes: a finger on a button keeps its place. */
function showIn(list, desk, notes) {
  const shown = new Map([...list.children].map((row) => [row.dataset.photo, row]));
  const wanted = new Set(notes.map(rowKey));
  for (const [key, row] of shown) if (!wanted.has(key)) row.remove();
  list.append(...notes.filter((note) => !shown.has(rowKey(note))).map((note) => photoRow(desk, note)));
}

const rowKey = (note) => `${note.uid} ${note.refused ?? ""}`;

function photoRow(desk, note) {
  const taken = when(note.made_at);
  const size = (note.size / 1e6).toFixed(2);
  const words = note.refused ? h("p", { class: "act small" }, t("photo.refused", { why: note.refused })) : h("p", { class: "soft small" }, t("photo.waits", { size }));
  const remove = async () => {
    const back = await desk.photos.remove(note.uid);
    undoBar(t("photo.removed"), t("undo"), back);
  };
  return h("li", { "data-photo": rowKey(note) }, h("img", { src: note.small, alt: t("photo.alt", { when: taken }) }), words,
    note.refused && button(t("photo.again"), () => desk.photos.again(note.uid), "plain"),
    button(t("photo.remove"), remove, "plain", { "aria-label": t("photo.remove_one", { when: taken }) }));
}

/** Follow what changes for as long as it stands on the page. */
function whileShown(element, desk, draw) {
  let seen = false;
  const follow = () => {
    seen ||= element.isConnected;
    if (seen && !element.isConnected) return desk.changed.removeEventListener("change", follow);
    return draw();
  };
  desk.changed.addEventListener("change", follow);
}

// Starts the page: which view stands here, who is at the tablet, and when it locks.

import { closeBar, h, say } from "./dom.js";
import { drawTop } from "./frame.js";
import { newerPage } from "./newer.js";
import { go, here } from "./route.js";
import { tablet } from "./session.js";
import { persist } from "./store.js";
import { speakFirst, t } from "./words.js";

const LOCK_MS = 10 * 60_000;
// What may be seen while nobody has given a PIN.
const OUTSIDE = new Set(["enrol", "people", "pin", "sign_in"]);
const VIEWS = JSON.parse(document.body.dataset.views);
const main = document.getElementById("main");

/** The page as a whole: views get it beside the desk. */
export const app = {
  /** @type {import("./desk.js").Desk | null} */
  desk: null,
  shown: null, // {view, result}
  touched: Date.now(),
  wanted: "#/",

  /** A PIN was right. @param {import("./session.js").Session} session */
  async enter(session) {
    this.touched = Date.now();
    this.desk?.close();
    // Nobody works before a PIN, so that a first visit need not wait for this.
    const { Desk } = await import("./desk.js");
    this.desk = await new Desk(session).open();
    this.desk.changed.addEventListener("change", redrawSoon);
    go(this.wanted, { instead: true });
    this.wanted = "#/";
  },

  /** Keys are forgotten; the place is kept for when the same person comes back. */
  lock({ back = true } = {}) {
    if (!this.desk) return;
    document.querySelectorAll("dialog").forEach((dialog) => dialog.dispatchEvent(new Event("cancel", { cancelable: true })));
    if (back) this.wanted = location.hash || "#/";
    this.desk.changed.removeEventListener("change", redrawSoon);
    this.desk.close();
    this.desk = null;
    go("#/people", { instead: true });
  },
};

async function where() {
  const place = here();
  if (app.desk && place.view !== "enrol") return OUTSIDE.has(place.view) && place.view !== "sign_in" ? { view: "home", params: {} } : place;
  if (!(await tablet()) || place.view === "enrol") return { view: "enrol", params: {} };
  if (OUTSIDE.has(place.view)) return place;
  app.wanted = location.hash || "#/";
  return { view: "people", params: {} };
}

async function draw({ again = false } = {}) {
  const place = await where();
  const asked = (draw.asked = Symbol(place.view));
  const result = await made(place);
  if (asked !== draw.asked) return; // somebody has gone on meanwhile
  if (!again) {
    app.shown?.result.leave?.();
    closeBar();
  }
  app.shown = { view: place.view, result };
  const asItWas = again ? standingOf(main) : null;
  document.title = `${result.title} · ${t("bay")}`;
  main.replaceChildren(result.body);
  drawTop(app);
  newerPage(app);
  if (asItWas) asItWas();
  else arrive(result);
}

/** What a reader has opened, typed and reached on a page that only shows; it is put back after a redraw. */
function standingOf(place) {
  const focused = document.activeElement?.id;
  const open = [...place.querySelectorAll("details[open][id]")].map((one) => one.id);
  const typed = [...place.querySelectorAll("input[id]")].map((one) => [one.id, one.value]);
  return () => {
    for (const id of open) document.getElementById(id)?.setAttribute("open", "");
    for (const [id, value] of typed) fill(document.getElementById(id), value);
    document.getElementById(focused)?.focus({ preventScroll: true });
  };
}

function fill(input, value) {
  if (!input || !value) return;
  input.value = value;
  input.dispatchEvent(new Event("input", { bubbles: true }));
}

function arrive(result) {
  window.scrollTo(0, 0);
  const first = result.focus ?? main.querySelector("h1") ?? main;
  if (!first.matches("input, button, a, select, textarea")) first.tabIndex = -1;
  first.focus({ preventScroll: true });
  say(result.title);
}

async function made({ view, params }) {
  const address = VIEWS[view];
  if (!address) return missing();
  try {
    const { show } = await import(address);
    return await show(app.desk, params, app);
  } catch (error) {
    if (error?.name === "Cancelled") throw error;
    console.error(error);
    return failed(error);
  }
}

const back = () => h("p", null, h("a", { class: "button", href: "#/" }, t("to_start")));
const missing = () => ({ title: t("missing.title"), body: h("div", { class: "stack" }, h("h1", null, t("missing.title")), h("p", null, t("missing.text")), back()) });
const failed = (error) => ({
  title: t("failed.title"),
  body: h("div", { class: "stack" }, h("h1", null, t("failed.title")), h("p", null, t("failed.text")), h("p", { class: "soft small", translate: "no" }, String(error)), back()),
});

let soon = 0;
let fingerDown = false;
/** What stands may have changed: views that only show are drawn anew, others are told. */
function redrawSoon() {
  clearTimeout(soon);
  soon = setTimeout(() => {
    // Drawn anew under a finger, what it is on would be gone before the tap is one.
    if (fingerDown) return redrawSoon();
    if (!app.desk || !app.shown) return;
    drawTop(app);
    newerPage(app);
    if (app.shown.result.live) draw({ again: true });
    else app.shown.result.update?.();
  }, 120);
}

for (const touch of ["pointerdown", "keydown"]) window.addEventListener(touch, () => (app.touched = Date.now()), { passive: true });
window.addEventListener("pointerdown", () => (fingerDown = true), { passive: true, capture: true });
// The click comes after the finger is up.
for (const up of ["pointerup", "pointercancel"]) window.addEventListener(up, () => setTimeout(() => (fingerDown = false)), { passive: true, capture: true });
setInterval(() => app.desk && Date.now() - app.touched > LOCK_MS && app.lock(), 5_000);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState !== "visible" || !app.desk) return;
  if (Date.now() - app.touched > LOCK_MS) app.lock();
  else app.desk.sync.soon(0);
});
window.addEventListener("hashchange", () => draw());

await speakFirst([navigator.language, "en", "es"]);
await persist();
await draw();
performance.mark("usable");
if ("serviceWorker" in navigator) await navigator.serviceWorker.register("/bay/worker.js").then((made) => newerPage(app, made));

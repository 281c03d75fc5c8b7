// A newer page never comes by itself: it waits until somebody takes it, and never in the middle of
// something.

import { button, h, say } from "./dom.js";
import { t } from "./words.js";

let registration = null;
let taking = false;
const place = () => document.getElementById("low");
const LOOK_MS = 30 * 60_000;

/**
 * Offer the newer page where one is ready and the view that is shown is not in the middle of something.
 * @param {any} app @param {ServiceWorkerRegistration} [made]
 */
export function newerPage(app, made) {
  if (made) watch(app, made);
  const old = document.getElementById("newer");
  const busy = app.shown?.result.busy;
  const ready = registration?.waiting && !(typeof busy === "function" ? busy() : busy);
  if (!ready) return void old?.remove();
  if (old) return;
  const bar = h("div", { class: "bay-bar", id: "newer" }, h("p", null, t("newer.ready")), button(t("newer.take"), take, "plain"));
  place().append(bar);
  say(t("newer.ready"));
}

function take() {
  taking = true;
  registration.waiting?.postMessage("take");
}

function watch(app, made) {
  registration = made;
  const look = () => newerPage(app);
  made.addEventListener("updatefound", () => made.installing?.addEventListener("statechange", look));
  navigator.serviceWorker.addEventListener("controllerchange", () => taking && location.reload());
  setInterval(() => navigator.onLine && made.update().catch(() => {}), LOOK_MS);
}

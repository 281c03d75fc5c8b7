// The PIN pad: keys of 60 px, the same with a keyboard, and the question for a PIN in between.

import { button, h, say } from "./dom.js";
import { LEAST_DIGITS, people, TRIES, unlock } from "./session.js";
import { t, tn } from "./words.js";

const MOST_DIGITS = 12;

/**
 * A pad that hands on what was typed.
 * @param {{label: string, done: string, typed: (pin: string) => Promise<any>}} how
 * @returns {HTMLElement & {wrong: (text: string) => void, clear: () => void}}
 */
export function pinPad({ label, done, typed }) {
  let pin = "";
  let busy = false;
  const shown = h("output", { class: "bay-pin", "aria-label": label });
  const wrong = h("p", { class: "field-error", role: "alert" });
  const show = () => {
    shown.textContent = "•".repeat(pin.length) || t("pin.none");
    say(tn("pin.digits", pin.length));
  };
  const press = (digit) => {
    if (busy || pin.length >= MOST_DIGITS) return;
    wrong.textContent = "";
    pin += digit;
    show();
  };
  const back = () => {
    pin = pin.slice(0, -1);
    show();
  };
  const send = async () => {
    if (busy) return;
    if (pin.length < LEAST_DIGITS) return void (wrong.textContent = tn("pin.short", LEAST_DIGITS));
    busy = true;
    ready.textContent = t("pin.wait");
    try {
      await typed(pin);
    } finally {
      busy = false;
      ready.textContent = done;
    }
  };
  const ready = button(done, send, "", { class: "button bay-key--wide" });
  const digits = [1, 2, 3, 4, 5, 6, 7, 8, 9].map((digit) => button(String(digit), () => press(digit), "plain"));
  const erase = button(t("pin.back"), back, "plain");
  const keys = h("div", { class: "bay-keys", role: "group", "aria-label": label }, digits, erase, button("0", () => press(0), "plain"), ready);
  const pad = h("div", { class: "bay-pad stack" }, shown, wrong, keys);
  pad.addEventListener("keydown", (event) => {
    if (/^\d$/.test(event.key)) press(event.key);
    else if (event.key === "Backspace") back();
    else if (event.key === "Enter" && event.target.tagName !== "BUTTON") send();
    else return;
    event.preventDefault();
  });
  pad.tabIndex = -1;
  pad.clear = () => ((pin = ""), show());
  pad.wrong = (text) => (pad.clear(), (wrong.textContent = text));
  shown.textContent = t("pin.none");
  return pad;
}

/** What to say after a wrong PIN. @param {number} left */
export const wrongPin = (left) => (left === 0 ? t("pin.gone", { tries: TRIES }) : tn("pin.wrong", left));

/**
 * Ask somebody for their PIN over the page, as their signature.
 * @param {number} id the person's
 * @returns {Promise<import("./session.js").Session>} rejects with an error named "Cancelled"
 */
export async function askPin(id) {
  const person = (await people()).find((one) => one.id === id);
  return new Promise((resolve, reject) => {
    const close = () => (dialog.close(), dialog.remove());
    const cancel = () => (close(), reject(Object.assign(new Error("cancelled"), { name: "Cancelled" })));
    const typed = async (pin) => {
      const { session, left } = await unlock(id, pin);
      if (session) return close(), resolve(session);
      pad.wrong(wrongPin(left));
    };
    const pad = pinPad({ label: t("pin.of", { name: person.name }), done: t("pin.sign"), typed });
    const title = h("h2", { id: "sign-title" }, t("pin.sign_as", { name: person.name }));
    const dialog = h("dialog", { class: "bay-dialog stack", "aria-labelledby": "sign-title" }, title, pad, button(t("cancel"), cancel, "plain"));
    dialog.addEventListener("cancel", (event) => (event.preventDefault(), cancel()));
    document.body.append(dialog);
    dialog.showModal();
    pad.focus();
  });
}

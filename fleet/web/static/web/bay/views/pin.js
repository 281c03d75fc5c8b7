// A known person's PIN.

import { h } from "../dom.js";
import { pinPad, wrongPin } from "../pinpad.js";
import { go } from "../route.js";
import { people, unlock } from "../session.js";
import { t } from "../words.js";

/** @param {null} _desk @param {{id: string}} params @param {any} app */
export async function show(_desk, params, app) {
  const person = (await people()).find((one) => String(one.id) === params.id);
  const title = person ? t("pin.of", { name: person.name }) : t("people.choose");
  const typed = async (pin) => {
    const { session, left } = await unlock(person.id, pin);
    if (session) return app.enter(session);
    pad.wrong(wrongPin(left));
    if (left === 0) pad.querySelector(".bay-keys").replaceWith(h("p", null, h("a", { class: "button", href: `#/sign-in?name=${encodeURIComponent(person.username)}` }, t("sign_in.send"))));
  };
  const pad = pinPad({ label: title, done: t("pin.open"), typed });
  if (!person?.wrapped) go("#/people", { instead: true });
  const other = h("p", null, h("a", { class: "bay-link", href: "#/people" }, t("people.other")));
  return { title, body: h("div", { class: "bay-alone stack" }, h("h1", null, title), pad, other), focus: pad };
}

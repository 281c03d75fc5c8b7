// A person's first time on this tablet: name and password with a network, then a PIN, typed twice.

import { NoAnswer, saidOf } from "../api.js";
import { field, form, h, wrongAt } from "../dom.js";
import { pinPad } from "../pinpad.js";
import { choosePin, LEAST_DIGITS, signIn } from "../session.js";
import { NoRoom } from "../store.js";
import { spoken, t } from "../words.js";

const RUNS = ["01234567890123456789", "98765432109876543210"];

/** What anybody would try first: one digit or a group over and over, or digits in a row. */
const common = (pin) => /^(\d{1,4})\1+$/.test(pin) || RUNS.some((run) => run.includes(pin));

/** @param {any} desk @param {{name?: string}} params @param {any} app */
export async function show(desk, params, app) {
  const place = h("div");
  const who = field({ name: "username", label: t("sign_in.name"), value: params.name ?? "", autocapitalize: "none", autocomplete: "username", spellcheck: "false" });
  const password = field({ name: "password", label: t("sign_in.password"), type: "password", autocomplete: "current-password" });
  const body = h("div", { class: "bay-alone stack" });
  const send = async () => {
    for (const asked of [who, password]) asked.wrong(asked.input.value.trim() ? "" : t("type_it"));
    const empty = [who, password].find((asked) => !asked.input.value.trim());
    if (empty) return empty.input.focus();
    const { given, text } = await tried(who.input.value.trim(), password.input.value);
    wrongAt(place, text);
    if (given) choose(body, given, app);
  };
  const other = h("p", null, h("a", { class: "bay-link", href: "#/people" }, t("people.other")));
  body.append(h("h1", null, t("sign_in.title")), h("p", null, t("sign_in.text")), place, form(t("sign_in.send"), send, who, password), other);
  return { title: t("sign_in.title"), body };
}

async function tried(username, password) {
  try {
    const { status, data } = await signIn(username, password, spoken());
    if (status === 201) return { given: data, text: "" };
    return { given: null, text: saidOf(data) || t("sign_in.refused") };
  } catch (error) {
    if (!(error instanceof NoAnswer)) throw error;
    return { given: null, text: t("no_network") };
  }
}

function choose(body, given, app) {
  let first = "";
  const title = h("h1", { tabindex: -1 }, t("pin.choose"));
  const text = h("p", null, t("pin.choose_text", { count: LEAST_DIGITS }));
  const typed = async (pin) => {
    if (!first) {
      if (common(pin)) return pad.wrong(t("pin.common"));
      first = pin;
      title.textContent = t("pin.again");
      text.textContent = t("pin.again_text");
      return pad.clear();
    }
    if (pin !== first) {
      first = "";
      title.textContent = t("pin.choose");
      return pad.wrong(t("pin.differ"));
    }
    try {
      await app.enter(await choosePin(given, pin));
    } catch (error) {
      if (!(error instanceof NoRoom)) throw error;
      pad.wrong(t("no_room"));
    }
  };
  const pad = pinPad({ label: t("pin.choose"), done: t("pin.next"), typed });
  body.replaceChildren(title, text, pad, h("p", { class: "soft small" }, t("pin.worth")));
  pad.focus();
}

// A tablet is enrolled once, by a code that a manager reads out.

import { NoAnswer, saidOf } from "../api.js";
import { field, form, h, wrongAt } from "../dom.js";
import { go } from "../route.js";
import { enrol, tablet } from "../session.js";
import { NoRoom } from "../store.js";
import { spoken, t } from "../words.js";

const LENGTH = 10;

/** @returns {Promise<{title: string, body: HTMLElement}>} */
export async function show() {
  if (await tablet()) return already();
  const place = h("div");
  const code = field({ name: "code", label: t("enrol.code"), hint: t("enrol.code_hint"), autocapitalize: "characters", spellcheck: "false", maxlength: 16, class: "bay-code" });
  const send = async () => {
    const typed = code.input.value.replace(/[\s-]/g, "").toUpperCase();
    const short = typed.length !== LENGTH;
    code.wrong(short ? t("enrol.code_length", { count: LENGTH }) : "");
    if (short) return code.input.focus();
    wrongAt(place, await trouble(typed));
  };
  const intro = h("p", null, t("enrol.text"));
  const body = h("div", { class: "bay-alone stack" }, h("h1", null, t("enrol.title")), intro, place, form(t("enrol.send"), send, code), plainHttp());
  return { title: t("enrol.title"), body };
}

async function trouble(typed) {
  try {
    const { status, data } = await enrol(typed, spoken());
    if (status !== 201) return saidOf(data) || t("enrol.refused");
  } catch (error) {
    if (error instanceof NoRoom) return t("no_room");
    if (!(error instanceof NoAnswer)) throw error;
    return t("no_network");
  }
  go("#/sign-in", { instead: true });
  return "";
}

// Without a secure address there is neither worker nor cryptography.
const plainHttp = () => !window.isSecureContext && h("p", { class: "warning" }, t("enrol.not_secure"));

function already() {
  const title = t("enrol.already");
  return { title, body: h("div", { class: "bay-alone stack" }, h("h1", null, title), h("p", null, h("a", { class: "button", href: "#/people" }, t("people.choose")))) };
}

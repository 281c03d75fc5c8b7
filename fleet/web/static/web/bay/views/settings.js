// A person's own: language, lock, who else; and the tablet's last resort.

import { button, form, field, h, wrongAt } from "../dom.js";
import { go } from "../route.js";
import { forget } from "../session.js";
import { waiting } from "../frame.js";
import { t, tn } from "../words.js";

// Each by its own name: somebody who looks for theirs may not read the other.
const LANGUAGES = [["en", "English"], ["es", "Español"]];

/** @param {import("../desk.js").Desk} desk @param {any} _params @param {any} app */
export function show(desk, _params, app) {
  const title = t("settings.title");
  const wrong = h("div");
  const speak = async (language, label) => {
    const right = await desk.speak(language);
    wrongAt(wrong, right ? "" : t("settings.no_words", { language: label }));
    if (right) go("#/settings");
  };
  const languages = LANGUAGES.map(([code, label]) => {
    const on = desk.person.language === code;
    return button(label, () => speak(code, label), on ? "" : "plain", { lang: code, translate: "no", "aria-pressed": String(on) });
  });
  const body = h("div", { class: "stack" },
    h("h1", null, title),
    h("p", { class: "soft" }, t("settings.who", { name: desk.person.name, tablet: desk.tablet.name })),
    h("section", { class: "section stack" }, h("h2", null, t("settings.language")), h("p", { class: "bay-actions" }, languages), wrong),
    h("section", { class: "section stack" }, h("h2", null, t("settings.leave")), h("p", null, t("settings.lock_text")), h("p", { class: "bay-actions" }, button(t("lock"), () => app.lock()), button(t("settings.switch"), () => app.lock({ back: false }), "plain"), h("a", { class: "button button--plain", href: "#/sign-in" }, t("people.new")))),
    takeOff(desk, app));
  return { title, body };
}

function takeOff(desk, app) {
  const count = waiting(desk);
  const word = field({ name: "word", label: t("settings.type_name"), hint: t("settings.type_name_hint", { name: desk.person.username }), autocapitalize: "none", spellcheck: "false" });
  const off = async () => {
    const right = word.input.value.trim() === desk.person.username;
    word.wrong(right ? "" : t("settings.type_name_hint", { name: desk.person.username }));
    if (!right) return word.input.focus();
    await forget(desk.person.id);
    app.lock({ back: false });
  };
  const waits = count > 0 && h("p", null, tn("state.waiting", count), " ", t("settings.off_waits"));
  return h("details", { class: "section bay-more" }, h("summary", null, t("settings.off")), h("p", null, t("settings.off_text")), waits, form(t("settings.off_send"), off, word));
}

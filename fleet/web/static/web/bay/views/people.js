// Who is at the tablet?

import { h } from "../dom.js";
import { hash } from "../route.js";
import { people, standing, tablet } from "../session.js";
import { name, t } from "../words.js";

/** @returns {Promise<{title: string, body: HTMLElement}>} */
export async function show() {
  const [known, here, state] = await Promise.all([people(), tablet(), standing()]);
  const title = known.length ? t("people.choose") : t("people.none");
  const list = h("ul", { class: "bay-list" }, known.map(entry));
  const yard = name(here.yard?.name ?? here.yard);
  const body = h("div", { class: "bay-alone stack" },
    h("h1", null, title),
    h("p", { class: "soft" }, t("people.tablet", { tablet: here.name, yard })),
    state && h("p", { class: "warning" }, t(`state.${state}`)),
    known.length > 0 && list,
    h("p", null, h("a", { class: known.length ? "button button--plain" : "button", href: "#/sign-in" }, t("people.new"))));
  return { title, body };
}

function entry(person) {
  const place = person.wrapped ? hash("pin", person.id) : `#/sign-in?name=${encodeURIComponent(person.username)}`;
  const note = person.wrapped ? null : h("span", { class: "soft small" }, t("people.again"));
  return h("li", null, h("a", { class: "bay-item", href: place }, h("span", { class: "strong" }, person.name), note));
}

// A hold by a person's own judgement. It counts at once, here and as soon as the server hears of it.

import { field, form, h } from "../dom.js";
import { hash, wayOn } from "../route.js";
import { standing } from "../standing.js";
import { NoRoom } from "../store.js";
import { vehicleOf } from "../told.js";
import { name, t } from "../words.js";
import { photoStrip } from "../photo_strip.js";

/** @param {import("../desk.js").Desk} desk @param {{unit: string, joint?: string, instead?: string}} params */
export function show(desk, { unit, joint, instead }) {
  const key = `/vehicle/${encodeURIComponent(unit)}/hold`;
  const vehicle = vehicleOf(standing(desk), unit);
  const old = desk.operations.find((op) => op.uid === instead)?.body ?? {};
  const typed = desk.draft(key) ?? old;
  const text = field({ name: "text", tag: "textarea", label: t("hold.text"), hint: t("hold.text_hint"), value: typed.text ?? "", maxlength: 300 });
  const chosen = String(typed.joint ?? joint ?? "");
  const choices = (vehicle?.joints ?? []).map((one) => h("option", { value: one.id, selected: String(one.id) === chosen }, name(one.name)));
  const where = field({ name: "joint", tag: "select", label: t("hold.joint") });
  where.input.append(h("option", { value: "" }, t("hold.no_joint")), ...choices);
  const given = () => ({ vehicle: unit, text: text.input.value.trim(), joint: where.input.value ? Number(where.input.value) : null });
  const keep = () => desk.keep(key, given());
  const send = async () => {
    const onward = wayOn();
    text.wrong(given().text ? "" : t("hold.text_wanted"));
    if (!given().text) return text.input.focus();
    try {
      await desk.do("place_hold", given(), { insteadOf: instead ?? null });
    } catch (error) {
      if (!(error instanceof NoRoom)) throw error;
      return text.wrong(t("no_room"));
    }
    await desk.drop(key);
    onward(hash("vehicle", unit));
  };
  const title = t("hold.title", { unit });
  const asked = form(t("hold.send"), send, text, where);
  asked.addEventListener("input", keep);
  const back = h("p", null, h("a", { class: "bay-link", href: hash("vehicle", unit) }, t("back_to", { unit })));
  return { title, body: h("div", { class: "stack" }, back, h("h1", null, title), h("p", null, t("hold.says")), asked, photoStrip(desk, { vehicle: unit, joint: () => given().joint, about: () => "" })), busy: true };
}

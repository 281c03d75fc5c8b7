// A ticket that is opened here, before the server has heard of it.

import { field, form, h } from "../dom.js";
import { hash, wayOn } from "../route.js";
import { standing } from "../standing.js";
import { NoRoom } from "../store.js";
import { vehicleOf } from "../told.js";
import { name, t } from "../words.js";

/** @param {import("../desk.js").Desk} desk @param {{unit: string, instead?: string}} params */
export function show(desk, { unit, instead }) {
  const key = `/vehicle/${encodeURIComponent(unit)}/open`;
  const vehicle = vehicleOf(standing(desk), unit);
  const typed = desk.draft(key) ?? desk.operations.find((op) => op.uid === instead)?.body ?? {};
  const what = field({ name: "title", label: t("open.what"), hint: t("open.what_hint"), value: typed.title ?? "", maxlength: 120 });
  const complaints = (vehicle?.complaints ?? []).map((one) => h("option", { value: one.id, selected: one.id === typed.complaint }, name(one.words)));
  const complaint = field({ name: "complaint", tag: "select", label: t("open.complaint") });
  complaint.input.append(h("option", { value: "" }, t("open.no_complaint")), ...complaints);
  const given = () => ({ vehicle: unit, title: what.input.value.trim(), complaint: complaint.input.value ? Number(complaint.input.value) : null, lines: typed.lines ?? [] });
  const send = async () => {
    const onward = wayOn();
    what.wrong(given().title ? "" : t("open.what_wanted"));
    if (!given().title) return what.input.focus();
    try {
      const op = await desk.do("open_ticket", given(), { insteadOf: instead ?? null });
      await desk.drop(key);
      onward(hash("vehicle", unit, "ticket", op.uid));
    } catch (error) {
      if (!(error instanceof NoRoom)) throw error;
      what.wrong(t("no_room"));
    }
  };
  const asked = form(t("open.send"), send, what, complaints.length > 0 && complaint);
  asked.addEventListener("input", () => desk.keep(key, given()));
  const title = t("open.title", { unit });
  const back = h("p", null, h("a", { class: "bay-link", href: hash("vehicle", unit) }, t("back_to", { unit })));
  return { title, body: h("div", { class: "stack" }, back, h("h1", null, title), asked), busy: true, focus: what.input };
}

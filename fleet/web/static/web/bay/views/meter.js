// What the meter says now.

import { field, form, h } from "../dom.js";
import { hash, wayOn } from "../route.js";
import { standing } from "../standing.js";
import { NoRoom } from "../store.js";
import { vehicleOf } from "../told.js";
import { day, name, t } from "../words.js";

const PLAIN = /^\d{1,3}([ ,]?\d{3})*([.]\d)?$/;

/** @param {import("../desk.js").Desk} desk @param {{unit: string, instead?: string}} params */
export function show(desk, { unit, instead }) {
  const key = `/vehicle/${encodeURIComponent(unit)}/meter`;
  const vehicle = vehicleOf(standing(desk), unit);
  const typed = desk.draft(key) ?? desk.operations.find((op) => op.uid === instead)?.body ?? {};
  const last = vehicle?.meter ? t("meter.last", { reading: name(vehicle.meter.typed), day: day(vehicle.meter.at) }) : t("meter.none");
  const reading = field({ name: "reading", label: t(`meter.${vehicle?.meter_unit ?? "any"}`), hint: last, inputmode: "decimal", value: typed.reading ?? "" });
  const given = () => ({ vehicle: unit, reading: reading.input.value.trim() });
  const send = async () => {
    const onward = wayOn();
    const fits = PLAIN.test(given().reading);
    reading.wrong(fits ? "" : t("meter.wrong"));
    if (!fits) return reading.input.focus();
    try {
      await desk.do("record_meter", given(), { insteadOf: instead ?? null });
    } catch (error) {
      if (!(error instanceof NoRoom)) throw error;
      return reading.wrong(t("no_room"));
    }
    await desk.drop(key);
    onward(hash("vehicle", unit));
  };
  const asked = form(t("meter.send"), send, reading);
  asked.addEventListener("input", () => desk.keep(key, given()));
  const title = t("meter.title", { unit });
  const back = h("p", null, h("a", { class: "bay-link", href: hash("vehicle", unit) }, t("back_to", { unit })));
  return { title, body: h("div", { class: "stack" }, back, h("h1", null, title), asked), busy: true, focus: reading.input };
}

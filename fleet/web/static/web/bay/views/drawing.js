// The front-end drawing of one vehicle as its joints stand.

import { h } from "../dom.js";
import { frontDrawing } from "../front_drawing.js";
import { hash } from "../route.js";
import { standing } from "../standing.js";
import { vehicleOf } from "../told.js";
import { backTo, holdsOn, nowhere } from "../vehicle_parts.js";
import { t } from "../words.js";

/** @param {import("../desk.js").Desk} desk @param {{unit: string}} params */
export function show(desk, { unit }) {
  const pack = standing(desk);
  const vehicle = vehicleOf(pack, unit);
  if (!vehicle) return nowhere(unit);
  const now = () => vehicleOf(standing(desk), unit) ?? vehicle;
  const mark = ({ id, mark: before }) => now().joints.find((joint) => joint.id === id)?.mark ?? before;
  const drawing = frontDrawing(pack, vehicle, { mark, href: (joint) => hash("vehicle", unit, "joint", joint.id) });
  const title = t("drawing.title", { unit });
  const holds = h("div", null, holdsOn(vehicle));
  // A corner that was enlarged stays so: only what stands is drawn anew.
  const update = () => {
    holds.replaceChildren(holdsOn(now()) ?? "");
    drawing?.redraw();
  };
  const body = h("div", { class: "stack" }, backTo(t("back_to", { unit }), "vehicle", unit), h("h1", null, title), holds, drawing ?? h("p", null, t("drawing.none")));
  return { title, body, update };
}

// What is said before the first joint: why, who, how it stands, and with which wrench.

import { chips, withKeys } from "./choices.js";
import { button, field, h } from "./dom.js";
import { problemWords, readBack } from "./judged.js";
import { capital, methodName } from "./joints.js";
import { day, name, t } from "./words.js";

const KINDS = ["routine", "retorque", "recheck", "complaint", "damage", "annual", "sweep", "bring_back"];
export const THREADS = ["dry", "oiled", "anti_seize", "threadlocker"];
const WAYS = ["dry_steer", "foot_brake_held", "lift_and_rock", "bar_under_tyre", "pry_bar", "feel", "look"];

/**
 * @param {import("./sheet_model.js").Sheet} sheet
 * @param {() => void} changed what is said here has changed what stands below
 */
export function setup(sheet, changed) {
  const set = (named, redraw = true) => (value) => {
    sheet.said[named] = value;
    sheet.keep();
    if (redraw) changed();
  };
  const parts = [why(sheet, set), who(sheet, set), stands(sheet, set), wrench(sheet, changed)];
  return h("div", { class: "sheet-setup stack" }, parts);
}

function why(sheet, set) {
  const { said, vehicle } = sheet;
  const kinds = KINDS.map((kind) => [kind, capital(t(`kind.${kind}`))]);
  const felt = vehicle.complaints.map((one) => [one.id, t("sheet.felt", { what: name(one.words), day: day(one.at) })]);
  return [
    chips({ label: t("sheet.kind"), choices: kinds, value: said.kind, chosen: set("kind") }),
    felt.length > 0 && chips({ label: t("sheet.complaint"), choices: felt, value: said.complaint, chosen: set("complaint"), free: true }),
    felt.length > 0 && chips({ label: t("sheet.order"), choices: [["walk", t("sheet.walk")], ["triage", t("sheet.triage")]], value: said.order, chosen: set("order") }),
  ];
}

function who(sheet, set) {
  const { said, pack, desk } = sheet;
  const wheel = field({ name: "at_wheel", label: t("sheet.at_wheel"), hint: t("sheet.at_wheel_hint"), value: said.at_wheel, maxlength: 80 });
  wheel.input.addEventListener("input", () => set("at_wheel", false)(wheel.input.value));
  wheel.input.addEventListener("change", () => set("at_wheel")(wheel.input.value));
  const second = field({ name: "second_person", tag: "select", label: t("sheet.second") });
  const others = pack.people.filter((person) => person.id !== desk.person.id);
  second.input.append(h("option", { value: "" }, t("sheet.nobody")), ...others.map((person) => h("option", { value: person.id, selected: person.id === said.second_person }, person.name)));
  second.input.addEventListener("change", () => set("second_person")(second.input.value ? Number(second.input.value) : null));
  return [wheel, second];
}

function stands(sheet, set) {
  const { said, vehicle, rules } = sheet;
  const either = (named, yes, no) => chips({ label: t(`sheet.${named}`), choices: [[true, yes], [false, no]], value: said[named], chosen: set(named), free: true });
  const meter = field({ name: "meter", label: t("sheet.meter"), value: said.meter, inputmode: "decimal", maxlength: 40 });
  meter.input.addEventListener("input", () => set("meter", false)(meter.input.value.trim()));
  return [
    either("on_wheels", t("sheet.wheels"), t("sheet.raised")),
    either("engine_on", t("sheet.engine_yes"), t("sheet.engine_no")),
    either("ride_height", t("yes"), t("no")),
    vehicle.has_plough && either("plough_on", t("sheet.on"), t("sheet.off")),
    withKeys(meter, { kind: "number", label: t("sheet.meter") }),
    chips({ label: t("sheet.way"), choices: WAYS.filter((code) => code in rules.methods).map((code) => [code, methodName(rules, code)]), value: said.way, chosen: set("way"), free: true }),
  ];
}

/** The wrench is chosen and its figures are typed and judged here; then one tap is enough. */
function wrench(sheet, changed) {
  const { said, pack } = sheet;
  const tool = field({ name: "tool", tag: "select", label: t("sheet.tool"), hint: t("sheet.tool_hint") });
  tool.input.append(h("option", { value: "" }, t("sheet.no_tool")), ...pack.tools.map((one) => h("option", { value: one.code, selected: one.code === said.wrench.tool }, toolWords(one))));
  const place = h("div", { class: "stack" });
  const draw = () => place.replaceChildren(...(said.wrench.tool ? [threads(sheet, changed), ...sheet.figures.map(([typed, joints]) => figure(sheet, typed, joints, changed))] : []));
  tool.input.addEventListener("change", () => {
    said.wrench.tool = tool.input.value;
    said.wrench.figures = {};
    sheet.keep();
    draw();
    changed();
  });
  draw();
  return [tool, place];
}

function threads(sheet, changed) {
  const { said } = sheet;
  const chosen = (value) => {
    said.wrench.threads = value ?? "";
    sheet.keep();
    changed();
  };
  return chips({ label: t("sheet.threads"), choices: THREADS.map((code) => [code, capital(t(`threads.${code}`))]), value: said.wrench.threads, chosen, free: true });
}

/** One figure of the file: what the wrench is set to for it, typed and confirmed. */
function figure(sheet, typed, joints, changed) {
  const { figures } = sheet.said.wrench;
  const names = joints.map((joint) => joint.name).join("; ");
  const set = field({ name: `set-${typed.replace(/\W+/g, "-")}`, label: t("sheet.set_to", { figure: typed }), hint: t("sheet.for_joints", { joints: names, source: joints[0].spec.source }), value: figures[typed] ?? "", inputmode: "decimal", maxlength: 40 });
  const told = h("p", { class: "soft", "aria-live": "polite" }, figures[typed] ? t("sheet.confirmed", { torque: readBack(sheet.desk, "torque", figures[typed], "lbf·ft") }) : "");
  const forget = () => {
    if (!(typed in figures)) return;
    delete figures[typed];
    told.textContent = "";
    sheet.keep();
    changed();
  };
  const confirm = () => {
    const text = set.input.value.trim();
    const problems = sheet.figureProblems(text, joints);
    set.wrong(problems.map((problem) => problemWords(problem, { tool: sheet.said.wrench.tool })).join(" "));
    if (problems.length) return forget();
    figures[typed] = text;
    told.textContent = t("sheet.confirmed", { torque: readBack(sheet.desk, "torque", text, "lbf·ft") });
    sheet.keep();
    changed();
  };
  set.input.addEventListener("input", forget);
  set.querySelector(".field-in").append(h("span", { class: "field-unit" }, "lbf·ft"), button(t("sheet.confirm"), confirm, "plain"));
  set.append(told);
  return set;
}

/** A tool by its code, and whether its readings are believed. @param {any} tool */
export function toolWords(tool) {
  if (tool.doubted_since) return t("tool.doubted", { code: tool.code, tool: tool.name });
  if (!tool.good_until) return t("tool.never", { code: tool.code, tool: tool.name });
  return t("tool.good", { code: tool.code, tool: tool.name, day: day(tool.good_until) });
}

/** What was said, in one line. @param {import("./sheet_model.js").Sheet} sheet */
export function setupLine({ said, desk, pack }) {
  const second = pack.people.find((person) => person.id === said.second_person)?.name;
  const parts = [
    capital(t(`kind.${said.kind}`)),
    said.on_wheels === null ? null : t(said.on_wheels ? "sheet.wheels" : "sheet.raised"),
    said.engine_on === null ? null : t(said.engine_on ? "sheet.engine_is_on" : "sheet.engine_is_off"),
    [said.at_wheel, second].filter(Boolean).length ? t("sheet.with", { names: [said.at_wheel, second].filter(Boolean).join(", ") }) : t("sheet.alone"),
    said.wrench.tool || null,
    said.way ? methodName(desk.rules, said.way) : null,
  ];
  return parts.filter(Boolean).join(" · ");
}

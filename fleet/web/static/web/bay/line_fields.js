// The inputs of a ticket line, made from the rule's own fields: none is written by hand.

import { chips, withKeys } from "./choices.js";
import { field, h } from "./dom.js";
import { toolWords } from "./sheet_setup.js";
import { name, t } from "./words.js";

const FEW = 4;
const FIGURES = { length: "length", torque: "number", pressure: "number", degrees: "number", number: "number", count: "number" };
const OFTEN = { degrees: ["0", "15", "30", "60"], count: ["1", "2", "3"] };

/**
 * @param {any} each the field as asked @param {any} stands what was typed before
 * @param {{pack: any, desk: any}} shelf what it chooses from
 * @param {(value: string | boolean | null) => void} typed
 * @returns {HTMLElement & {wrong: (text: string) => void}}
 */
export function lineField(each, stands, shelf, typed) {
  const label = `${name(each.label)}${each.required ? "" : ` (${t("field.optional")})`}`;
  const said = { label, hint: name(each.help) };
  const make = { confirm, choice, tool, person, text, date }[each.type] ?? figure;
  const box = withError(make(each, stands, shelf, typed, said));
  box.classList.add("line-field");
  box.dataset.field = each.name;
  return box;
}

/** Chips and ticks get a place for what is wrong with them too. */
function withError(box) {
  if (box.wrong) return box;
  const error = h("p", { class: "field-error" });
  box.append(error);
  box.wrong = (words) => {
    error.textContent = words;
    box.classList.toggle("field--wrong", Boolean(words));
  };
  return box;
}

function confirm(each, stands, _shelf, typed, { label, hint }) {
  const ticked = stands === true || ["true", "yes", "on", "1"].includes(String(stands ?? "").toLowerCase());
  const input = h("input", { type: "checkbox", checked: ticked, name: each.name, onchange: () => typed(input.checked ? true : null) });
  return h("div", { class: "field field--tick" }, h("label", null, input, label), hint && h("p", { class: "field-hint" }, hint));
}

function choice(each, stands, _shelf, typed, { label, hint }) {
  const choices = each.choices.map((one) => [one.code, name(one.names) || one.code]);
  if (choices.length > FEW) return select(each, stands, typed, { label, hint }, choices);
  const box = chips({ label, choices, value: stands, chosen: typed, free: true });
  if (hint) box.querySelector("legend").after(h("p", { class: "field-hint" }, hint));
  return box;
}

function select(each, stands, typed, { label, hint }, choices) {
  const box = field({ name: each.name, tag: "select", label, hint });
  const said = stands === undefined || stands === null ? "" : String(stands);
  box.input.append(h("option", { value: "" }, t("field.not_said")), ...choices.map(([code, text]) => h("option", { value: code, selected: String(code) === said }, text)));
  box.input.addEventListener("change", () => typed(box.input.value || null));
  return box;
}

const tool = (each, stands, { pack }, typed, said) => select(each, pack.tools.find((one) => one.code.toLowerCase() === String(stands ?? "").toLowerCase())?.code ?? stands, typed, said, pack.tools.map((one) => [one.code, toolWords(one)]));
const person = (each, stands, { pack }, typed, said) => select(each, stands, typed, said, pack.people.map((one) => [one.id, one.name]));

function text(each, stands, _shelf, typed, said) {
  return listened(field({ name: each.name, ...said, value: stands ?? "", maxlength: 2000 }), typed);
}

function date(each, stands, _shelf, typed, said) {
  return listened(field({ name: each.name, ...said, value: stands ?? "", type: "date" }), typed);
}

function figure(each, stands, { desk }, typed, said) {
  const box = listened(field({ name: each.name, ...said, value: stands ?? "", inputmode: each.type === "length" ? "text" : "decimal", maxlength: 40 }), typed);
  const unit = each.type === "degrees" ? "°" : (each.default_unit ?? "");
  if (unit) box.querySelector(".field-in").append(h("span", { class: "field-unit" }, unit));
  return withKeys(box, { kind: FIGURES[each.type], label: said.label, metric: desk.person.units === "metric", often: OFTEN[each.type] ?? [] });
}

function listened(box, typed) {
  box.input.addEventListener("input", () => typed(box.input.value.trim() || null));
  return box;
}

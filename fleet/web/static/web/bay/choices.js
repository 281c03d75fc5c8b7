// Choices as a row of large buttons, and fields with keys beside them.

import { button, h } from "./dom.js";
import { numberPad, tapePad } from "./keypad.js";
import { t } from "./words.js";

let numbered = 0;

/**
 * One of several, each a button of its own; the chosen one again takes it back where `free`.
 * @param {{label: string, choices: [any, string][], value: any, chosen: (value: any) => void, free?: boolean, quiet?: boolean}} how
 */
export function chips({ label, choices, value, chosen, free = false, quiet = false }) {
  const name = `c${(numbered += 1)}`;
  const labels = choices.map(([code, text]) => {
    const input = h("input", { type: "radio", name, value: String(code), checked: code === value, onchange: () => chosen(code) });
    if (free) input.addEventListener("click", () => takeBack(input, code));
    return h("label", null, input, text);
  });
  let stands = value;
  const takeBack = (input, code) => {
    if (stands === code) {
      input.checked = false;
      stands = null;
      chosen(null);
    } else stands = code;
  };
  return h("fieldset", { class: "field chips-field" }, h("legend", { class: quiet ? "sr" : null }, label), h("div", { class: "chips" }, labels));
}

/**
 * A text field that opens its keys: for gloves, and for fractions that no other keyboard has.
 * @param {HTMLElement & {input: HTMLInputElement}} box from `field`
 * @param {{kind: "length" | "number", label: string, metric?: boolean, often?: string[]}} how
 */
export function withKeys(box, { kind, label, metric = false, often = [] }) {
  const place = h("div", { hidden: true });
  const open = button(t("pad.keys"), toggle, "plain", { "aria-expanded": "false" });
  function toggle() {
    place.hidden = !place.hidden;
    open.setAttribute("aria-expanded", String(!place.hidden));
    if (!place.hidden) place.replaceChildren(padFor());
  }
  const typed = (text) => {
    box.input.value = text;
    box.input.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const padFor = () => (kind === "length" ? tapePad({ label, value: box.input.value, metric, typed }) : numberPad({ label, value: box.input.value, often, typed }));
  box.querySelector(".field-in").append(open);
  box.append(place);
  return box;
}

// Keys for gloves: a tape's figure in sixteenths, and plain numbers. Every tap says what stands now.

import { button, h, say } from "./dom.js";
import { t } from "./words.js";

const SIXTEENTHS = 16;
const MOST_DIGITS = 4;
const TAPE = /^(\d*)(?:(?:^|\s)(\d+\/\d+))?\s*in$/;

/** A sixteenth as a tape reads it, reduced. @param {number} top */
export function sixteenth(top) {
  let [over, under] = [top, SIXTEENTHS];
  while (over % 2 === 0 && under > 1) [over, under] = [over / 2, under / 2];
  return `${over}/${under}`;
}

/** Wholes and fraction of what stands, as far as these keys can have typed it. */
function inches(text) {
  const found = TAPE.exec(text.trim());
  return found ? { whole: found[1] ?? "", part: found[2] ?? "" } : { whole: "", part: "" };
}

const written = ({ whole, part }) => [Number(whole) || !part ? whole || "0" : "", part].filter(Boolean).join(" ");

/**
 * A tape's figure by keys: digits, then one of fifteen fractions; or millimeters.
 * @param {{label: string, value: string, metric?: boolean, typed: (text: string) => void}} how
 * @returns {HTMLElement}
 */
export function tapePad({ label, value, metric = false, typed }) {
  let mm = value ? /mm\s*$/.test(value) : metric;
  let text = value;
  const pad = h("div", { class: "pad", role: "group", "aria-label": label });
  const take = (next) => {
    text = next;
    say(next || t("pad.empty"));
    typed(next);
    for (const key of pad.querySelectorAll("[data-part]")) key.setAttribute("aria-pressed", String(key.dataset.part === inches(text).part));
  };
  const other = () => {
    mm = !mm;
    take("");
    draw();
    pad.querySelector("[data-unit]").focus();
  };
  const draw = () => {
    const keys = mm ? decimalKeys(() => text.replace(/\s*mm$/, ""), (next) => take(next && `${next} mm`)) : tapeKeys(() => inches(text), take);
    const unit = button(t(mm ? "pad.to_in" : "pad.to_mm"), other, "plain", { "data-unit": "" });
    pad.replaceChildren(...keys, h("div", { class: "pad-last" }, button(t("pad.clear"), () => take(""), "plain"), unit));
  };
  draw();
  return pad;
}

function tapeKeys(stands, take) {
  const press = (digit) => {
    const { whole, part } = stands();
    if (whole.length < MOST_DIGITS) take(`${written({ whole: whole === "0" ? digit : whole + digit, part })} in`);
  };
  const fraction = (part) => take(`${written({ whole: stands().whole, part: stands().part === part ? "" : part })} in`);
  const parts = Array.from({ length: SIXTEENTHS - 1 }, (_, at) => sixteenth(at + 1));
  const keys = parts.map((part) => button(part, () => fraction(part), "plain", { "data-part": part, "aria-pressed": String(stands().part === part) }));
  return [h("div", { class: "pad-parts", role: "group", "aria-label": t("pad.fraction") }, keys), h("div", { class: "pad-digits" }, digits(press))];
}

function decimalKeys(stands, take) {
  const press = (mark) => {
    const next = stands() + mark;
    if (/^\d{0,4}(\.\d{0,2})?$/.test(next)) take(next);
  };
  return [h("div", { class: "pad-digits" }, digits(press), button(".", () => press("."), "plain"), back(() => take(stands().slice(0, -1))))];
}

const digits = (press) => ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0"].map((digit) => button(digit, () => press(digit), "plain"));
const back = (act) => button(t("pad.back"), act, "plain");

/**
 * A number by keys, with the figures that are said most often.
 * @param {{label: string, value: string, often?: string[], typed: (text: string) => void}} how
 * @returns {HTMLElement}
 */
export function numberPad({ label, value, often = [], typed }) {
  let text = value;
  const take = (next) => {
    text = next;
    say(next || t("pad.empty"));
    typed(next);
  };
  const quick = often.map((one) => button(one, () => take(one), "plain"));
  const keys = decimalKeys(() => text, take);
  return h("div", { class: "pad", role: "group", "aria-label": label }, quick.length > 0 && h("div", { class: "pad-digits" }, quick), keys, h("div", { class: "pad-last" }, button(t("pad.clear"), () => take(""), "plain")));
}

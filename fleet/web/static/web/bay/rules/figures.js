// Reads the number part of a typed figure: wholes, decimals, thousands, tape fractions. Twin of
// fleet/calc/figures.py; in `text` each character stands for the one at its index of what was typed.
import { add, fraction, fromDecimal } from "./fractions.js";
import { lengthOf, stripped } from "./texts.js";

const MAX_DIGITS = 12;
const MAX_TEXT = 64;
export const TAPE_DENOMINATORS = [2, 4, 8, 16, 32, 64];

const VULGAR = {
  "½": [1, 2], "¼": [1, 4], "¾": [3, 4], "⅛": [1, 8], "⅜": [3, 8], "⅝": [5, 8], "⅞": [7, 8],
  "⅓": [1, 3], "⅔": [2, 3], "⅕": [1, 5], "⅖": [2, 5], "⅗": [3, 5], "⅘": [4, 5], "⅙": [1, 6],
  "⅚": [5, 6], "⅐": [1, 7], "⅑": [1, 9], "⅒": [1, 10],
};
export const isVulgar = (mark) => Object.hasOwn(VULGAR, mark);

// Lookalikes by code point, since in print they can't be told apart.
const PLAIN = [
  [" ", /[\t\n\r\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000]/gu],
  ["'", /[\u2032\u2018\u2019\u201b\u0060\u00b4\u02b9\u02bc\uff07]/gu],
  ['"', /[\u2033\u201c\u201d\u201f\u02ba\u3003\uff02]/gu],
  ["-", /[\u2010-\u2015\u2212\ufe63\uff0d]/gu],
  ["/", /[\u2044\u2215\uff0f]/gu],
  ["·", /[\u22c5\u2022\u2219\u30fb]/gu],
  // One mark for what is longer than one place, so that places are counted as the server does.
  ["\ufffd", /[\u{10000}-\u{10ffff}]/gu],
];
const NUMBER = /[0-9][0-9.,]*|[.,][0-9]+/y;
const SPACED = /([0-9]{1,3}(?: [0-9]{3})+)(?:[.,]([0-9]+))?(?![0-9.,])/y;
const FRACTION = /([0-9]+) ?\/ ?([0-9]+)/y;
const JOIN = / *-? */y;
const EXPONENT = / ?[eE][+-]?[0-9]/y;
const NOT_FINITE = /(?:inf(?:inity)?|nan)(?![\p{L}\p{N}_])|∞/iuy;

/** A figure that can't be read as typed: a stable code, the place that failed, an example. */
export class UnitError extends Error {
  constructor(code, text, position, hint) {
    super(code);
    Object.assign(this, { code, text, position, hint });
  }
}

const inThrees = (groups) =>
  [1, 2, 3].includes(groups[0].length) && groups.slice(1).every((group) => group.length === 3);

/** A plain text being read, and what to say when it can't be. */
export class Scan {
  /** @param {{counter?: boolean}} how with `counter` the rules of a meter hold */
  constructor(typed, hint, { counter = false } = {}) {
    const text = PLAIN.reduce((plain, [mark, odds]) => plain.replace(odds, mark), typed);
    Object.assign(this, { typed, text, hint, counter });
    if (!stripped(text)) this.fail("empty", 0);
    if (lengthOf(stripped(text)) > MAX_TEXT) this.fail("too_long", 0);
  }

  fail(code, at, hint = "") {
    throw new UnitError(code, this.typed, at, hint || this.hint);
  }

  skipSpaces(at) {
    let place = at;
    while (this.text[place] === " ") place += 1;
    return place;
  }

  rest(at) {
    return this.text.slice(at).replace(/ +$/, "");
  }

  match(pattern, at) {
    pattern.lastIndex = at;
    return pattern.exec(this.text);
  }

  /** @returns {[bigint, number]} the sign and where the figure begins */
  sign(at, signed) {
    const mark = this.text[at];
    if (mark !== "+" && mark !== "-") return [1n, at];
    if (!signed) this.fail(mark === "-" ? "negative" : "unexpected", at);
    return [mark === "-" ? -1n : 1n, this.skipSpaces(at + 1)];
  }

  /** Read one number, with its fraction if one follows. */
  figure(at) {
    if (this.match(NOT_FINITE, at)) this.fail("not_finite", at);
    const alone = this.counter ? null : this.fraction(at);
    if (alone) return { value: alone[0], end: alone[1], fractionAt: at, whole: false };
    const spaced = this.counter && this.match(SPACED, at);
    if (spaced) return this.spaced(spaced);
    const found = this.match(NUMBER, at);
    if (!found) this.fail("missing_number", at);
    const end = at + found[0].length;
    this.refuseExponent(end);
    const number = { value: this.number(found[0], at), end, fractionAt: null,
      whole: /^[0-9]+$/.test(found[0]) };
    return this.counter ? number : this.withFraction(number);
  }

  withFraction(number) {
    const start = number.end + this.match(JOIN, number.end)[0].length;
    const part = this.fraction(start);
    if (!part) return number;
    if (!number.whole) this.fail("fraction_after_decimal", start);
    return { value: add(number.value, part[0]), end: part[1], fractionAt: start, whole: false };
  }

  fraction(at) {
    const found = this.vulgar(at) ?? this.written(at);
    if (!found) return null;
    const [top, bottom, end, below] = found;
    if (bottom === 0) this.fail("zero_denominator", below);
    if (top >= bottom) this.fail("improper_fraction", at);
    if (!TAPE_DENOMINATORS.includes(bottom)) this.fail("odd_denominator", at);
    return [fraction(top, bottom), end];
  }

  vulgar(at) {
    const mark = this.text[at];
    return mark && isVulgar(mark) ? [...VULGAR[mark], at + 1, at + 1] : null;
  }

  written(at) {
    const found = this.match(FRACTION, at);
    if (!found) return null;
    this.countDigits(found[0], at);
    const end = at + found[0].length;
    return [Number(found[1]), Number(found[2]), end, end - found[2].length];
  }

  countDigits(token, at) {
    if (token.replace(/[^0-9]/g, "").length > MAX_DIGITS) this.fail("too_many_digits", at);
  }

  refuseExponent(at) {
    if (this.match(EXPONENT, at)) this.fail("exponent", at);
  }

  spaced(found) {
    const end = found.index + found[0].length;
    this.countDigits(found[0], found.index);
    this.refuseExponent(end);
    const value = fromDecimal(`${found[1].replaceAll(" ", "")}.${found[2] ?? 0}`);
    return { value, end, fractionAt: null, whole: true };
  }

  number(token, at) {
    this.countDigits(token, at);
    const marks = [...token].filter((c) => c === "." || c === ",");
    if (!marks.length) return fromDecimal(token);
    if (/[.,]$/.test(token)) this.fail("unexpected", at + token.length - 1);
    return marks.length === 1 ? this.oneMark(token, marks[0], at) : this.manyMarks(token, marks, at);
  }

  oneMark(token, mark, at) {
    const [head, tail] = token.split(mark);
    // "0,125" can only be a decimal: nobody writes a nought before thousands.
    const threes = head !== "0" && inThrees([head, tail]);
    if (threes && mark === "," && this.counter) return fromDecimal(head + tail);
    if (threes && this.counter) this.fail("ambiguous_point", at + head.length, `${head},${tail}`);
    if (threes && mark === ",") {
      this.fail("ambiguous_comma", at + head.length, `${head}${tail} / ${head}.${tail}`);
    }
    return fromDecimal(`${head || 0}.${tail}`);
  }

  /** Two kinds of mark: the last is the decimal one. One kind: all set off thousands. */
  manyMarks(token, marks, at) {
    const point = new Set(marks).size > 1 ? marks.at(-1) : null;
    if (point && marks.filter((mark) => mark === point).length > 1) {
      this.fail("bad_grouping", at + token.indexOf(point));
    }
    const cut = point ? token.indexOf(point) : token.length;
    const groups = token.slice(0, cut).split(marks[0]);
    if (!inThrees(groups)) this.fail("bad_grouping", at + groups[0].length);
    return fromDecimal(`${groups.join("")}.${point ? token.slice(cut + 1) : 0}`);
  }
}

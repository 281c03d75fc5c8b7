// How the text of each type of field is read, with a stable code for what can't be. Twin of
// fleet/calc/field_types.py.
import { fromDecimal, toNumber } from "./fractions.js";
import { lengthOf, shortNumber, stripped } from "./texts.js";
import {
  UnitError, formatLength, formatPressure, formatTorque, parseLength, parsePressure, parseTorque,
} from "./units.js";

const LONGEST_TEXT = 2000;
const DEFAULT_UNITS = { length: "in", torque: "N·m", pressure: "psi" };
const YES = ["true", "yes", "on", "1"];
const NO = ["false", "no", "off", "0"];
const DECIMAL = /^([+-]?)([0-9]{0,9})(?:[.,]([0-9]{1,9}))?$/;
const DEGREES = / ?(?:°|deg|degrees?)$/i;
const CONTROL = /[\p{Cc}\p{Cs}]/u;

/** Why one text can't be read: a stable code, an example or limit, the place that failed. */
export class FieldError extends Error {
  constructor(code, hint = "", position = null) {
    super(code);
    Object.assign(this, { code, hint, position });
  }
}

/** True and false as words, text without the spaces around it. */
function plain(typed) {
  const text = typeof typed === "boolean" ? String(typed) : stripped(typed);
  [...text].forEach((c, position) => {
    if (CONTROL.test(c) && !"\t\n\r".includes(c)) throw new FieldError("bad_character", "", position);
  });
  return text;
}

function readText(field, typed) {
  const text = plain(typed);
  if (lengthOf(text) > LONGEST_TEXT) throw new FieldError("too_long", String(LONGEST_TEXT));
  return { typed: text, value: text };
}

const codeOf = (choice) => String(choice?.code ?? choice);

function readChoice(field, typed) {
  const text = plain(typed);
  const allowed = (field.choices ?? []).map(codeOf);
  if (!allowed.includes(text)) throw new FieldError("not_a_choice", allowed.join(", "));
  return { typed: text, value: text };
}

function readConfirm(field, typed) {
  const text = plain(typed);
  const said = text.toLowerCase();
  if (![...YES, ...NO].includes(said)) throw new FieldError("not_a_confirm", "yes, no");
  return { typed: text, value: YES.includes(said) };
}

function readCount(field, typed) {
  const text = plain(typed);
  if (!/^[0-9]{1,9}$/.test(text)) throw new FieldError("not_a_count", "12");
  within(field, Number(text));
  return { typed: text, value: Number(text) };
}

function readNumber(field, typed) {
  const text = plain(typed);
  const value = decimalOf(text);
  within(field, value);
  return { typed: text, value };
}

function readDegrees(field, typed) {
  const text = plain(typed);
  const value = decimalOf(text.replace(DEGREES, ""));
  within(field, value);
  return { typed: text, value, unit: "deg" };
}

function decimalOf(text) {
  const found = DECIMAL.exec(text.replaceAll("\u2212", "-"));
  if (!found || !(found[2] || found[3])) throw new FieldError("not_a_number", "1.5");
  return toNumber(fromDecimal(`${found[1]}${found[2] || 0}.${found[3] ?? 0}`));
}

function within(field, value, shown = shortNumber) {
  if ("min" in field && value < field.min) throw new FieldError("too_small", shown(field.min));
  if ("max" in field && value > field.max) throw new FieldError("too_large", shown(field.max));
}

function readLength(field, typed) {
  const unit = field.default_unit ?? DEFAULT_UNITS.length;
  const signed = (field.min ?? 0) < 0;
  const parse = (text) => parseLength(text, unit, { signed });
  return quantity(field, typed, parse, (si) => formatLength(si, unit, 64));
}

function readTorque(field, typed) {
  const unit = field.default_unit ?? DEFAULT_UNITS.torque;
  return quantity(field, typed, (text) => parseTorque(text, unit), (si) => formatTorque(si, unit));
}

function readPressure(field, typed) {
  const unit = field.default_unit ?? DEFAULT_UNITS.pressure;
  const shown = (si) => formatPressure(si, unit);
  return quantity(field, typed, (text) => parsePressure(text, unit), shown);
}

function quantity(field, typed, parse, shown) {
  const text = plain(typed);
  const { si, unit } = parsed(parse, text);
  within(field, si, shown);
  return { typed: text, si, unit };
}

function parsed(parse, text) {
  try {
    return parse(text);
  } catch (error) {
    if (!(error instanceof UnitError)) throw error;
    throw new FieldError(error.code, error.hint, error.position);
  }
}

function readDate(field, typed) {
  const text = plain(typed);
  const found = /^[0-9]{4}-[0-9]{2}-[0-9]{2}$/.test(text) && !text.startsWith("0000");
  const day = found ? new Date(`${text}T00:00:00Z`) : null;
  if (!day || Number.isNaN(day.getTime()) || day.toISOString().slice(0, 10) !== text) {
    throw new FieldError("not_a_date", "2026-11-25");
  }
  return { typed: text, value: text };
}

export const READERS = {
  text: readText,
  choice: readChoice,
  confirm: readConfirm,
  count: readCount,
  number: readNumber,
  degrees: readDegrees,
  length: readLength,
  torque: readTorque,
  pressure: readPressure,
  tool: readText,
  person: readText,
  date: readDate,
};

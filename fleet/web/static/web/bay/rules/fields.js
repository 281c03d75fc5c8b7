// What a line must record: fields as data, what was typed read by their types, what is missing.
// Twin of fleet/calc/requirements.py.
import { FieldError, READERS } from "./field_types.js";
import { isBlank } from "./texts.js";

/**
 * @typedef {{name: string, type: string, [key: string]: any}} Field
 * @typedef {{typed: string, value?: any, si?: number, unit?: string}} Value
 * @typedef {{name: string, code: string, hint: string, position: number|null}} FieldProblem
 */

const problem = (name, code, hint = "", position = null) => ({ name, code, hint, position });

/**
 * Read what was typed into the fields of a line: text by name, true and false for boxes.
 * @param {Field[]} fields
 * @param {Object<string, string|boolean|null>} typed
 * @returns {{values: Object<string, Value>, problems: FieldProblem[]}} of the fields asked for
 */
export function readFields(fields, typed) {
  const read = new Map(fields.map((field) => [field.name, readOne(field, typed[field.name])]));
  const values = Object.fromEntries(
    [...read].filter(([, found]) => found && !("code" in found)),
  );
  const wanted = applicable(fields, values).map((field) => field.name);
  return {
    values: Object.fromEntries(wanted.filter((n) => n in values).map((n) => [n, values[n]])),
    problems: wanted.map((name) => read.get(name)).filter((found) => found && "code" in found),
  };
}

function readOne(field, typed) {
  if (typed == null || (typeof typed === "string" && isBlank(typed))) return null;
  if (typeof typed !== "string" && typeof typed !== "boolean") {
    return problem(field.name, "not_text");
  }
  try {
    return READERS[field.type](field, typed);
  } catch (error) {
    if (!(error instanceof FieldError)) throw error;
    return problem(field.name, error.code, error.hint, error.position);
  }
}

/** The fields that are asked for, given the values so far. @returns {Field[]} */
export function applicable(fields, values) {
  const byName = new Map(fields.map((field) => [field.name, field]));
  return fields.filter((field) => applies(field, byName, values, []));
}

/** Follow `when` back to a field without one; a circle of conditions applies to nobody. */
function applies(field, byName, values, asked) {
  const when = field.when;
  if (when == null) return true;
  const source = byName.get(when.field);
  if (!source || asked.includes(field.name) || !(when.field in values)) return false;
  const wanted = "in" in when ? when.in : [when.is];
  const value = values[when.field].value ?? null;
  if (!wanted.some((one) => one === value)) return false;
  return applies(source, byName, values, [...asked, field.name]);
}

/** Which fields still lack what they must have. @returns {FieldProblem[]} */
export function missing(fields, values) {
  return applicable(fields, values)
    .map((field) => lack(field, values[field.name]))
    .filter((found) => found !== null);
}

function lack(field, value) {
  if (!value) return field.required ? problem(field.name, "missing") : null;
  if ("must" in field && (value.value ?? null) !== field.must) {
    return problem(field.name, "must", String(field.must));
  }
  return null;
}

/** What was recorded under a name: its SI figure, or its plain value; null where nothing was. */
export const valueOf = (values, name) => values[name]?.si ?? values[name]?.value ?? null;

// Text as the server counts and strips it: by whole characters, with the spaces that it knows.

const SPACE =
  "\\t-\\r\\u001c-\\u0020\\u0085\\u00a0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000";
const AROUND = new RegExp(`^[${SPACE}]+|[${SPACE}]+$`, "gu");

/** What was typed without the spaces around it. */
export const stripped = (text) => text.replace(AROUND, "");

/** How many characters; one outside the basic plane counts once. */
export const lengthOf = (text) => [...text].length;

/** Whether nothing was typed: no text, or spaces alone. */
export const isBlank = (text) => text == null || stripped(String(text)) === "";

/** A number as the server shows a limit: six figures, no more zeros than it needs. */
export const shortNumber = (value) => String(Number(value.toPrecision(6)));

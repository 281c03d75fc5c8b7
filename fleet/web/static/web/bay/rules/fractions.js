// Exact fractions of whole numbers of any size. Twin of Python's fractions.Fraction as far as
// figures need it: a figure is turned into SI exactly and rounded once, as the server does.

/** @typedef {{top: bigint, bottom: bigint}} Fraction always reduced, the bottom above zero */

const ENOUGH_BITS = 66;

function gcd(one, other) {
  let [a, b] = [one < 0n ? -one : one, other];
  while (b) [a, b] = [b, a % b];
  return a;
}

/** @returns {Fraction} */
export function fraction(top, bottom = 1n) {
  const [above, below] = [BigInt(top), BigInt(bottom)];
  if (below === 0n) throw new RangeError("a fraction can't have zero below");
  const sign = below < 0n ? -1n : 1n;
  const shared = gcd(above, sign * below) || 1n;
  return { top: (sign * above) / shared, bottom: (sign * below) / shared };
}

/** A decimal as written, like "12.345". @returns {Fraction} */
export function fromDecimal(text) {
  const sign = text.startsWith("-") ? -1n : 1n;
  const [whole, part = ""] = text.replace(/^[+-]/, "").split(".");
  return fraction(sign * BigInt(`${whole || 0}${part}`), 10n ** BigInt(part.length));
}

/** A number exactly as the machine keeps it. @returns {Fraction} */
export function fromNumber(value) {
  if (!Number.isFinite(value)) throw new RangeError("not a finite number");
  let [scaled, halvings] = [value, 0n];
  while (!Number.isInteger(scaled)) [scaled, halvings] = [scaled * 2, halvings + 1n];
  return fraction(BigInt(scaled), 1n << halvings);
}

export const add = (a, b) => fraction(a.top * b.bottom + b.top * a.bottom, a.bottom * b.bottom);
export const times = (a, b) => fraction(a.top * b.top, a.bottom * b.bottom);
export const over = (a, b) => fraction(a.top * b.bottom, a.bottom * b.top);
export const less = (a, b) => a.top * b.bottom < b.top * a.bottom;

/** Round to a whole number, half to even. @returns {bigint} */
export function rounded({ top, bottom }) {
  const whole = top >= 0n || top % bottom === 0n ? top / bottom : top / bottom - 1n;
  const twice = 2n * (top - whole * bottom);
  const up = twice > bottom || (twice === bottom && whole % 2n !== 0n);
  return up ? whole + 1n : whole;
}

/**
 * The nearest number that the machine keeps, half to even: one correctly rounded division.
 * More bits than a number holds are worked out, the last one set where something is left over;
 * turning that into a number then rounds once and rightly.
 */
export function toNumber({ top, bottom }) {
  if (top === 0n) return 0;
  const size = top < 0n ? -top : top;
  const length = (value) => BigInt(value.toString(2).length);
  const shift = BigInt(ENOUGH_BITS) - length(size) + length(bottom);
  const [above, below] = shift >= 0n ? [size << shift, bottom] : [size, bottom << -shift];
  const quotient = above / below;
  const sticky = quotient * below === above ? quotient : quotient | 1n;
  const found = Number(sticky) * 2 ** -Number(shift);
  return top < 0n ? -found : found;
}

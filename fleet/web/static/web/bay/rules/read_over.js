// Short codes that are read over a radio or a telephone, computed alike on both sides. Twin of
// fleet/calc/read_over.py.

const CODE_DIGITS = 9;
const REPLY_DIGITS = 5;
const MODULUS = 10;
const COUNTED_BYTES = 8;
const text = new TextEncoder();

/**
 * What a code vouches for.
 * @typedef {{tablet: string, vehicle: string, ticket: number, worker: number, checker: number,
 *   hour: string}} Asked
 */

/** The hour that a code is of, in UTC. @param {Date} moment */
export const hourOf = (moment) => moment.toISOString().slice(0, 13);

/** What is signed: each part on a line of its own. @param {Asked} asked */
const messageOf = ({ tablet, vehicle, ticket, worker, checker, hour }) =>
  text.encode(["read-over 1", tablet, vehicle, ticket, worker, checker, hour].join("\n"));

const hmac = async (key, message) => new Uint8Array(await crypto.subtle.sign("HMAC", key, message));

/**
 * The code that both people's keys together make: neither can make it alone.
 * @param {Asked} asked @param {CryptoKey} workerKey @param {CryptoKey} checkerKey
 * @returns {Promise<string>} nine digits and their check digit
 */
export async function codeOf(asked, workerKey, checkerKey) {
  const inner = await hmac(checkerKey, messageOf(asked));
  return digitsOf(await hmac(workerKey, inner), CODE_DIGITS);
}

/**
 * The answer by which the tablet knows that a manager has entered its code.
 * @param {Asked} asked @param {string} said the code @param {CryptoKey} tabletKey
 * @returns {Promise<string>} five digits and their check digit
 */
export async function replyTo(asked, said, tabletKey) {
  const parts = [text.encode("reply\n"), messageOf(asked), text.encode(`\n${said}`)];
  const message = Uint8Array.from(parts.flatMap((part) => [...part]));
  return digitsOf(await hmac(tabletKey, message), REPLY_DIGITS);
}

function digitsOf(digest, count) {
  const number = digest.slice(0, COUNTED_BYTES).reduce((sum, byte) => sum * 256n + BigInt(byte), 0n);
  const digits = String(number % 10n ** BigInt(count)).padStart(count, "0");
  return digits + checkDigit(digits);
}

/** Whether the check digit is that of the others. @param {string} said digits alone */
export const heardRight = (said) => /^[0-9]{2,}$/.test(said) && checkDigit(said.slice(0, -1)) === said.at(-1);

/** ISO/IEC 7064, MOD 11,10. */
function checkDigit(digits) {
  const product = [...digits].reduce((before, digit) => {
    const total = (before + Number(digit)) % MODULUS || MODULUS;
    return (2 * total) % (MODULUS + 1);
  }, MODULUS);
  return String((MODULUS + 1 - product) % MODULUS);
}

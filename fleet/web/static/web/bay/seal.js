// Sealing, wrapping by PIN and signing, all with the browser's own cryptography.

export const ROUNDS = 600_000;
const text = new TextEncoder();
const plain = new TextDecoder();

/** @param {ArrayBuffer | Uint8Array} bytes */
export function toBase64(bytes) {
  let said = "";
  for (const byte of new Uint8Array(bytes)) said += String.fromCharCode(byte);
  return btoa(said);
}

/** @param {string} said */
export function fromBase64(said) {
  const usual = said.replace(/-/g, "+").replace(/_/g, "/");
  return Uint8Array.from(atob(usual), (letter) => letter.charCodeAt(0));
}

const urlSafe = (bytes) => toBase64(bytes).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
const hex = (bytes) => Array.from(new Uint8Array(bytes), (byte) => byte.toString(16).padStart(2, "0")).join("");

/**
 * The tablet's key, which seals what is kept. It can't be read out again.
 * @param {Uint8Array} bytes 32
 * @returns {Promise<CryptoKey>}
 */
export function sealingKey(bytes) {
  return crypto.subtle.importKey("raw", bytes, "AES-GCM", false, ["encrypt", "decrypt"]);
}

/**
 * A person's key, which signs operations.
 * @param {Uint8Array} bytes 32
 * @returns {Promise<CryptoKey>}
 */
export function signingKey(bytes) {
  return crypto.subtle.importKey("raw", bytes, { name: "HMAC", hash: "SHA-256" }, false, ["sign"]);
}

/**
 * @param {CryptoKey} key
 * @param {any} value anything JSON can say
 * @returns {Promise<{iv: Uint8Array, data: ArrayBuffer}>}
 */
export async function seal(key, value) {
  const iv = crypto.getRandomValues(new Uint8Array(12));
  const data = await crypto.subtle.encrypt({ name: "AES-GCM", iv }, key, text.encode(JSON.stringify(value)));
  return { iv, data };
}

/**
 * @param {CryptoKey} key
 * @param {{iv: Uint8Array, data: ArrayBuffer}} box
 * @returns {Promise<any>} what was sealed; rejects where the key is another's
 */
export async function unseal(key, box) {
  const data = await crypto.subtle.decrypt({ name: "AES-GCM", iv: box.iv }, key, box.data);
  return JSON.parse(plain.decode(data));
}

/**
 * Bytes, sealed as they are. @param {CryptoKey} key @param {ArrayBuffer} bytes
 * @returns {Promise<{iv: Uint8Array, data: ArrayBuffer}>}
 */
export async function sealBytes(key, bytes) {
  const iv = crypto.getRandomValues(new Uint8Array(12));
  return { iv, data: await crypto.subtle.encrypt({ name: "AES-GCM", iv }, key, bytes) };
}

/** @param {CryptoKey} key @param {{iv: Uint8Array, data: ArrayBuffer}} box @returns {Promise<ArrayBuffer>} */
export const unsealBytes = (key, box) => crypto.subtle.decrypt({ name: "AES-GCM", iv: box.iv }, key, box.data);

/**
 * The signature of a photo by its person's key.
 * @param {CryptoKey} key @param {{uid: string, made_at: string, about: string, vehicle: string, joint: number | null}} note @param {ArrayBuffer} bytes
 */
export async function signPhoto(key, note, bytes) {
  const digest = hex(await crypto.subtle.digest("SHA-256", bytes));
  const said = [note.uid, note.made_at, note.about, digest, note.vehicle, note.joint ?? ""].join("\n");
  return urlSafe(await crypto.subtle.sign("HMAC", key, text.encode(said)));
}

async function pinKey(pin, salt, rounds) {
  const typed = await crypto.subtle.importKey("raw", text.encode(pin), "PBKDF2", false, ["deriveKey"]);
  const how = { name: "PBKDF2", hash: "SHA-256", salt, iterations: rounds };
  return crypto.subtle.deriveKey(how, typed, { name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
}

/**
 * Wrap a person's keys by their PIN, which is kept nowhere.
 * @param {string} pin
 * @param {{key_id: string, key: string, data_key: string}} keys in base64
 */
export async function wrap(pin, keys) {
  const salt = crypto.getRandomValues(new Uint8Array(16));
  return { salt, rounds: ROUNDS, box: await seal(await pinKey(pin, salt, ROUNDS), keys) };
}

/**
 * The keys again, or null where the PIN is another.
 * @param {string} pin
 * @param {{salt: Uint8Array, rounds: number, box: any}} wrapped
 */
export async function unwrap(pin, wrapped) {
  const key = await pinKey(pin, wrapped.salt, wrapped.rounds);
  return unseal(key, wrapped.box).catch(() => null);
}

/**
 * The signature of an operation by its person's key.
 * @param {CryptoKey} key
 * @param {{uid: string, n: number, verb: string, made_at: string, instead_of: string | null, body: string}} op
 */
export async function sign(key, op) {
  const digest = hex(await crypto.subtle.digest("SHA-256", text.encode(op.body)));
  const said = [op.uid, op.n, op.verb, op.made_at, op.instead_of ?? "", digest].join("\n");
  return urlSafe(await crypto.subtle.sign("HMAC", key, text.encode(said)));
}

/**
 * A UUID of version 7 (RFC 9562, 5.7): its first 48 bits are the moment in ms.
 * @param {number} [moment]
 */
export function uuid7(moment = Date.now()) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let at = 0, rest = moment; at < 6; at += 1, rest = Math.floor(rest / 256)) bytes[5 - at] = rest % 256;
  bytes[6] = (bytes[6] & 0x0f) | 0x70;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  return hex(bytes).replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

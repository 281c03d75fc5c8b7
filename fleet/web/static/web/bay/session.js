// The tablet's enrolment, its people and their PINs.

import { ask } from "./api.js";
import { fromBase64, sealingKey, signingKey, unwrap, wrap } from "./seal.js";
import * as store from "./store.js";

export const TRIES = 5;
export const LEAST_DIGITS = 6;

/**
 * @typedef {{person: any, key_id: string, signing: CryptoKey, sealing: CryptoKey, reading: CryptoKey}} Session
 *   `reading` is the tablet's own key as replies of a read-over release are told true by it
 */

/** @returns {Promise<{uid: string, name: string, yard: any, token: string} | undefined>} */
export const tablet = () => store.read("tablet", "tablet");

/** People known on this tablet, who was here last first. */
export async function people() {
  const found = (await store.all("people")).map(([, person]) => person);
  return found.sort((one, other) => (other.used_at ?? 0) - (one.used_at ?? 0));
}

/**
 * Make this browser a tablet of a yard by the code that a manager reads out.
 * @param {string} code
 */
export async function enrol(code, language) {
  const { status, data } = await ask("enrol", { body: { code }, language });
  if (status !== 201) return { status, data };
  const kept = { uid: data.tablet, name: data.name, yard: data.yard_name, token: data.token };
  await store.write(["tablet", "tablet", kept], ["tablet", "state", undefined]);
  await store.persist();
  return { status, data };
}

/**
 * A person's first time here, or again after five wrong PINs: by name and password, online.
 * @returns {Promise<{status: number, data: any}>} data holds the keys until a PIN is chosen
 */
export async function signIn(username, password, language) {
  const { token } = await tablet();
  return ask("people", { token, body: { username, password }, language });
}

/**
 * Keep a person's keys, wrapped by the PIN they chose.
 * @param {any} given the server's answer to `signIn` @param {string} pin
 * @returns {Promise<Session>}
 */
export async function choosePin(given, pin) {
  const { person, key_id, key, data_key } = given;
  const wrapped = await wrap(pin, { key_id, key, data_key });
  await store.write(["people", person.id, { ...person, wrapped, tries: 0, used_at: Date.now() }]);
  return session(person, { key_id, key, data_key });
}

async function session(person, keys) {
  const { wrapped: _wrapped, ...plain } = person;
  const own = fromBase64(keys.data_key);
  const [signing, sealing, reading] = await Promise.all([signingKey(fromBase64(keys.key)), sealingKey(own), signingKey(own)]);
  return { person: plain, key_id: keys.key_id, signing, sealing, reading };
}

/**
 * Try a PIN. The try is on the disk before it is made, so that switching off takes none back.
 * @param {number} id the person's @param {string} pin
 * @returns {Promise<{session: Session | null, left: number}>} left 0: the keys are gone from here
 */
export async function unlock(id, pin) {
  const person = await store.alter("people", id, (kept) => ({ ...kept, tries: (kept.tries ?? 0) + 1 }));
  const keys = person.wrapped && person.tries <= TRIES ? await unwrap(pin, person.wrapped) : null;
  if (keys) {
    const kept = await store.alter("people", id, (now) => ({ ...now, tries: 0, used_at: Date.now() }));
    return { session: await session(kept, keys), left: TRIES };
  }
  const left = Math.max(TRIES - person.tries, 0);
  if (left === 0) await store.alter("people", id, (kept) => ({ ...kept, wrapped: null, tries: 0 }));
  return { session: null, left };
}

/** A person's own setting on this tablet. @param {number} id @param {Record<string, any>} change */
export const setPerson = (id, change) => store.alter("people", id, (kept) => ({ ...kept, ...change }));

/** Take a person off this tablet; what they recorded stays. @param {number} id */
export const forget = (id) => store.write(["people", id, undefined]);

/** Where the tablet stands with the server: null, "revoked" or "unknown". */
export const standing = async () => (await store.read("tablet", "state")) ?? null;

/** @param {"revoked" | "unknown" | undefined} state */
export const stand = (state) => store.write(["tablet", "state", state]);

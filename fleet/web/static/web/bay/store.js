// What the tablet keeps, in IndexedDB. Every write says it is on the disk before it resolves.

import { openDB } from "./vendor/idb.js";

const NAME = "axlekeep-bay";
// One record a thing: the tablet, its people, the operations by n, answers by uid, drafts by key,
// what came from the server (pack, rules), and photos by uid: the picture, and what is said of it.
const STORES = ["tablet", "people", "log", "answers", "drafts", "fetched", "photos", "photo_notes"];
const STRICT = { durability: "strict" };
// Below this the page says that room runs short: a season of operations, or a few photos.
export const LITTLE_BYTES = 50_000_000;

/** A write that found no room on the tablet. Nothing of it was kept, and nothing typed is lost. */
export class NoRoom extends Error {}

let opened = null;

async function base() {
  opened ??= openDB(NAME, 2, {
    upgrade(made) {
      for (const store of STORES) if (!made.objectStoreNames.contains(store)) made.createObjectStore(store);
    },
    blocking: (_was, _wanted, event) => event.target.close(),
    terminated: () => (opened = null),
  });
  return opened;
}

async function strictly(stores, work) {
  const transaction = (await base()).transaction(stores, "readwrite", STRICT);
  try {
    const made = await work((store) => transaction.objectStore(store), transaction);
    await transaction.done;
    return made;
  } catch (error) {
    await transaction.done.catch(() => {});
    if (error?.name === "QuotaExceededError" || transaction.error?.name === "QuotaExceededError") throw new NoRoom();
    throw error;
  }
}

/** @param {string} store @param {any} key */
export const read = async (store, key) => (await base()).get(store, key);

/** @param {string} store @returns {Promise<[any, any][]>} keys with values, in order of the key */
export async function all(store) {
  const transaction = (await base()).transaction(store);
  const [keys, values] = await Promise.all([transaction.store.getAllKeys(), transaction.store.getAll()]);
  return keys.map((key, at) => [key, values[at]]);
}

/**
 * Write and erase in one transaction: all of it or nothing.
 * @param {[store: string, key: any, value: any][]} entries a value of undefined erases
 */
export function write(...entries) {
  const stores = [...new Set(entries.map(([store]) => store))];
  return strictly(stores, (of) =>
    Promise.all(entries.map(([store, key, value]) => (value === undefined ? of(store).delete(key) : of(store).put(value, key)))),
  );
}

/**
 * Keep an operation under the next number, provided that nobody took it meanwhile.
 * @param {number} n the number it was signed with
 * @param {any} record
 * @returns {Promise<boolean>} false where another page of this tablet was faster
 */
export function append(n, record) {
  return strictly(["log", "tablet"], async (of) => {
    if (((await of("tablet").get("n")) ?? 0) !== n - 1) return false;
    await Promise.all([of("log").add(record, n), of("tablet").put(n, "n")]);
    return true;
  });
}

/**
 * Change one record in one transaction.
 * @param {string} store @param {any} key @param {(value: any) => any} change
 */
export function alter(store, key, change) {
  return strictly([store], async (of) => {
    const changed = change(await of(store).get(key));
    await of(store).put(changed, key);
    return changed;
  });
}

/** Ask the browser not to throw this away when room runs short. @returns {Promise<boolean>} */
export async function persist() {
  return (await navigator.storage?.persisted?.()) || ((await navigator.storage?.persist?.()) ?? false);
}

/** @returns {Promise<{used: number, quota: number, left: number, kept: boolean} | null>} bytes; null where unknown */
export async function room() {
  if (!navigator.storage?.estimate) return null;
  const { usage = 0, quota = 0 } = await navigator.storage.estimate();
  return { used: usage, quota, left: Math.max(quota - usage, 0), kept: (await navigator.storage.persisted?.()) ?? false };
}

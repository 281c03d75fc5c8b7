// Sends what the log holds and fetches pack and rules. Safe to cut anywhere: everything is repeated
// until its answer is on the disk, and the server does nothing twice.

import { ask, NoAnswer, saidOf } from "./api.js";
import { headersOf } from "./photos.js";
import { seal, unseal } from "./seal.js";
import { stand } from "./session.js";
import * as store from "./store.js";

const BATCH = 50;
const MEASURE_MS = 600_000;
const EVERY_MS = 60_000;
const WAITS_MS = [5_000, 15_000, 60_000, 300_000];
// Answers that say nothing of a single operation: the whole batch is sent again later.
const LATER = new Set([408, 429, 502, 503, 504]);

/** The tablet's talk with the server, for one unlocked desk. */
export class Sync {
  /** @param {import("./desk.js").Desk} desk */
  constructor(desk) {
    this.desk = desk;
    // A round that is under way ends well though the desk was locked meanwhile.
    this.sealing = desk.session.sealing;
    this.busy = false;
    this.trouble = null; // null, "no_answer", "revoked", "unknown", "server"
    this.said = "";
    this.spoke = null; // {at, offset_ms}: when the server last answered
    this.failed = 0;
    this.timer = 0;
  }

  /** Begin: now, every minute, and whenever the network comes back. */
  async start() {
    this.spoke = (await store.read("tablet", "spoke")) ?? null;
    this.online = () => this.soon(0);
    window.addEventListener("online", this.online);
    this.soon(0);
  }

  /** End: the desk is locked. */
  stop() {
    clearTimeout(this.timer);
    window.removeEventListener("online", this.online);
    this.stopped = true;
  }

  /** @param {number} wait ms until the next try, unless an earlier one is due */
  soon(wait = 500) {
    const at = Date.now() + wait;
    if (this.timer && this.due <= at) return;
    clearTimeout(this.timer);
    this.due = at;
    this.timer = setTimeout(() => this.run(), wait);
  }

  /** One round, one at a time on this tablet. Resolves when it is over, well or badly. */
  async run() {
    clearTimeout(this.timer);
    this.timer = 0;
    // What comes up while a round is under way gets a round of its own.
    this.again = this.busy;
    if (this.stopped || this.busy) return;
    this.busy = true;
    this.desk.tell();
    try {
      await navigator.locks.request("bay-sync", () => this.#round());
      this.failed = 0;
    } catch (error) {
      if (!(error instanceof NoAnswer || error instanceof Trouble)) throw error;
      this.trouble = error.kind ?? "no_answer";
      this.said = error.said ?? "";
      this.failed += 1;
      this.desk.log.underway.clear(); // no answer: it waits again
    } finally {
      this.busy = false;
      const wait = this.failed ? WAITS_MS[Math.min(this.failed, WAITS_MS.length) - 1] : EVERY_MS;
      if (!this.stopped) this.soon(this.again ? 0 : wait * (0.8 + 0.4 * Math.random()));
      this.desk.tell();
    }
  }

  async #round() {
    const { log } = this.desk;
    const queue = log.toSend();
    // An exchange with nothing in it still tells how the two clocks stand.
    const stuck = queue.length || !this.#measured() ? await this.#send(queue) : "";
    await log.prune(this.desk.now().getTime());
    await this.desk.speakOwn();
    await this.#fetch("pack");
    await this.#fetch("rules");
    // What is done in the meantime goes before the photos that are left.
    await this.desk.photos.send((note, bytes) => this.#photo(note, bytes), () => this.again || this.stopped);
    this.trouble = stuck ? "server" : null;
    this.said = stuck;
    await stand(undefined);
  }

  async #send(queue) {
    let stuck = "";
    for (let at = 0; at < Math.max(queue.length, 1); at += BATCH) stuck = (await this.#batch(queue.slice(at, at + BATCH))) || stuck;
    return stuck;
  }

  #measured() {
    return Date.now() - (this.spoke?.measured_at ?? 0) < MEASURE_MS;
  }

  /** Resolves to what the server says of a batch that it can't read, else to nothing. */
  async #batch(operations) {
    const { log } = this.desk;
    for (const op of operations) log.underway.add(op.uid);
    this.desk.tell();
    const began = Date.now();
    const body = { schema: 1, app: this.desk.build, sent_at: new Date(began).toISOString(), waiting: log.toSend().length, operations };
    const { status, data } = await this.#ask("sync", { body });
    if (status === 200) {
      await this.#heard(data.received_at, began);
      await log.keep(data.results, data.received_at);
      for (const op of operations) log.underway.delete(op.uid);
      this.desk.tell();
      return "";
    }
    if (operations.length < 2) return saidOf(data) || String(status);
    // One that can't be read keeps no other back.
    return this.#singly(operations);
  }

  async #singly(operations) {
    let stuck = "";
    for (const op of operations) stuck = (await this.#batch([op])) || stuck;
    return stuck;
  }

  #photo(note, bytes) {
    return this.#ask("photos", { photo: bytes, more: headersOf(note) });
  }

  async #ask(path, how) {
    const { token } = this.desk.tablet;
    const answer = await ask(path, { token, language: this.desk.person.language, ...how });
    // 401: the token is nobody's; 403: the tablet was revoked, and may only hand over what it holds.
    if (answer.status === 401 || answer.status === 403) {
      const kind = answer.status === 403 ? "revoked" : "unknown";
      await stand(kind);
      if (kind === "revoked") await this.desk.clear();
      throw new Trouble(kind, saidOf(answer.data));
    }
    if (LATER.has(answer.status) || (answer.status >= 500 && path !== "sync")) throw new Trouble("server", saidOf(answer.data));
    return answer;
  }

  /** The server's clock against the tablet's, at the middle of the call. */
  async #heard(receivedAt, began) {
    const back = Date.now();
    const offset = receivedAt ? Math.round(Date.parse(receivedAt) - (began + back) / 2) : (this.spoke?.offset_ms ?? null);
    const measured = receivedAt ? back : (this.spoke?.measured_at ?? 0);
    this.spoke = { at: back, offset_ms: offset, measured_at: measured };
    await store.write(["tablet", "spoke", this.spoke]);
  }

  async #fetch(what) {
    const kept = await store.read("fetched", what);
    const began = Date.now();
    const { status, data, etag } = await this.#ask(what, { etag: this.desk[what] ? kept?.etag : undefined });
    await this.#heard(null, began);
    const asOf = new Date(began + (this.spoke.offset_ms ?? 0)).toISOString();
    if (status === 304) {
      // The server has said that what is here is what it would say now.
      await store.write(["fetched", what, { ...kept, asOf }]);
      return this.desk.take(what, dated(this.desk[what], asOf));
    }
    if (status !== 200 || !data) throw new Trouble("server", saidOf(data));
    await store.write(["fetched", what, { etag, asOf: null, box: await seal(this.sealing, data) }]);
    this.desk.take(what, data);
  }
}

class Trouble extends Error {
  constructor(kind, said) {
    super(said);
    this.kind = kind;
    this.said = said;
  }
}

/**
 * What was fetched before, or null.
 * @param {CryptoKey} key @param {"pack" | "rules"} what
 */
export async function fetched(key, what) {
  const kept = await store.read("fetched", what);
  const data = kept ? await unseal(key, kept.box).catch(() => null) : null;
  return data && dated(data, kept.asOf);
}

const dated = (data, asOf) => (asOf && data.made_at ? { ...data, made_at: asOf } : data);

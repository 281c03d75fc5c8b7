// The operation log: one sealed record an operation, and the server's answer beside it.

import { seal, sign, unseal, uuid7 } from "./seal.js";
import * as store from "./store.js";

const FINAL = new Set(["accepted", "refused", "quarantined"]);
const SHOWN_MS = 7 * 86_400_000;

/**
 * @typedef {object} Operation
 * @property {string} uid @property {number} n @property {string} verb @property {any} body
 * @property {number} person @property {string} key @property {string} made_at
 * @property {number | null} offset_ms @property {string | null} instead_of
 * @property {"waiting" | "sent" | "accepted" | "refused" | "parked" | "quarantined"} status
 * @property {any[]} problems @property {string} because @property {any} theirs @property {any} made
 * @property {number | null} ticket @property {string | null} answered_at
 * @property {{uid: string, n: number, person: number, key: string, verb: string, made_at: string,
 *   offset_ms: number | null, instead_of: string | null, body: string, mac: string}} sent as it travels
 */

/** Operations of this tablet as they are known to this page. */
export class Log {
  /** @param {CryptoKey} key the tablet's */
  constructor(key) {
    this.key = key;
    this.records = [];
    this.answers = new Map();
    this.underway = new Set();
  }

  /** Read everything that is kept. */
  async load() {
    const [records, answers] = await Promise.all([store.all("log"), store.all("answers")]);
    this.records = await Promise.all(records.map(([, record]) => unseal(this.key, record.box)));
    const opened = await Promise.all(answers.map(([, record]) => unseal(this.key, record.box)));
    this.answers = new Map(opened.map((answer) => [answer.uid, answer]));
    return this;
  }

  /** @returns {Operation[]} in order of n */
  get operations() {
    return this.records.map((record) => this.#told(record));
  }

  #told(record) {
    const answer = this.answers.get(record.uid);
    const status = answer?.status ?? (this.underway.has(record.uid) ? "sent" : "waiting");
    const { problems = [], because = "", theirs = null, made = null, ticket = null, answered_at = null } = answer ?? {};
    const { mac: _mac, ...plain } = record;
    return { ...plain, body: JSON.parse(record.body), status, problems, because, theirs, made, ticket, answered_at, sent: record };
  }

  /**
   * Keep a new operation. It resolves only once the record is on the disk.
   * @param {{person: number, key_id: string, signing: CryptoKey}} who
   * @param {string} verb @param {any} body
   * @param {{insteadOf?: string | null, offset: number | null}} more
   * @returns {Promise<Operation>}
   */
  async append(who, verb, body, { insteadOf = null, offset }) {
    const now = Date.now();
    const op = { uid: uuid7(now), n: 0, person: who.person, key: who.key_id, verb, made_at: new Date(now).toISOString(),
      offset_ms: offset, instead_of: insteadOf, body: JSON.stringify(body), mac: "" };
    do {
      op.n = ((await store.read("tablet", "n")) ?? 0) + 1;
      op.mac = await sign(who.signing, op);
    } while (!(await store.append(op.n, { uid: op.uid, box: await seal(this.key, op) })));
    this.records.push(op);
    this.records.sort((one, other) => one.n - other.n);
    return this.#told(op);
  }

  /** What has to be sent: whatever the server has not judged for good, corrections where they free. */
  toSend() {
    const place = new Map();
    for (const op of this.records) place.set(op.uid, place.get(op.instead_of) ?? op.n);
    const open = this.records.filter((op) => !FINAL.has(this.answers.get(op.uid)?.status));
    return open.sort((one, other) => place.get(one.uid) - place.get(other.uid) || one.n - other.n);
  }

  /** Refused operations that nobody has corrected or set aside yet, newest last. */
  returned() {
    const settled = new Set(this.records.map((op) => op.instead_of));
    for (const op of this.records) if (op.verb === "set_aside") settled.add(JSON.parse(op.body).operation);
    return this.operations.filter((op) => op.status === "refused" && !settled.has(op.uid));
  }

  /**
   * Keep what the server answered, before anybody acts on it.
   * @param {any[]} results @param {string} answeredAt
   */
  async keep(results, answeredAt) {
    const known = new Set(this.records.map((op) => op.uid));
    const mine = results.filter((result) => known.has(result.uid)).map((result) => ({ ...result, answered_at: answeredAt }));
    const boxes = await Promise.all(mine.map((answer) => seal(this.key, answer)));
    if (mine.length) await store.write(...mine.map((answer, at) => ["answers", answer.uid, { box: boxes[at] }]));
    for (const answer of mine) this.answers.set(answer.uid, answer);
  }

  /**
   * Drop what was settled a week ago. What the server has not accepted, or came back, stays.
   * @param {number} now by the server's clock, as its answers are
   */
  async prune(now) {
    const returned = new Set(this.returned().map((op) => op.uid));
    const old = this.operations.filter(
      (op) => FINAL.has(op.status) && !returned.has(op.uid) && now - Date.parse(op.answered_at) > SHOWN_MS,
    );
    if (!old.length) return;
    await store.write(...old.flatMap((op) => [["log", op.n, undefined], ["answers", op.uid, undefined]]));
    const gone = new Set(old.map((op) => op.uid));
    this.records = this.records.filter((op) => !gone.has(op.uid));
    for (const uid of gone) this.answers.delete(uid);
  }
}

// What a view works with: the person, what is on the tablet, and the one way to do something.

import { go } from "./route.js";
import { Log } from "./log.js";
import { Photos } from "./photos.js";
import { askPin } from "./pinpad.js";
import { seal, unseal } from "./seal.js";
import { setPerson, tablet } from "./session.js";
import * as store from "./store.js";
import { fetched, Sync } from "./sync.js";
import { name, setZone, speak, spoken, t } from "./words.js";

const others = new BroadcastChannel("bay");

/** One person at the unlocked tablet. */
export class Desk {
  /** @param {import("./session.js").Session} session */
  constructor(session) {
    this.session = session;
    this.person = session.person;
    this.build = document.documentElement.dataset.build;
    this.changed = new EventTarget();
    this.log = new Log(session.sealing);
    this.sync = new Sync(this);
    this.photos = new Photos(this);
    this.drafts = new Map();
    this.t = t;
    this.name = name;
    this.go = go;
  }

  /** Read what is kept; the talk with the server begins afterwards. */
  async open() {
    const key = this.session.sealing;
    this.tablet = await tablet();
    await this.speakOwn();
    [this.pack, this.rules] = await Promise.all([fetched(key, "pack"), fetched(key, "rules")]);
    setZone(this.pack?.yard?.time_zone);
    await Promise.all([this.log.load(), this.#loadDrafts(), this.photos.load()]);
    others.onmessage = () => this.log.load().then(() => this.tell());
    await this.sync.start();
    return this;
  }

  /** Forget the keys. What is kept stays sealed. */
  close() {
    this.sync.stop();
    others.onmessage = null;
    this.session = null;
  }

  /** Now by the server's clock, as far as it was measured. @returns {Date} */
  now() {
    return new Date(Date.now() + (this.sync.spoke?.offset_ms ?? 0));
  }

  /** @returns {import("./log.js").Operation[]} */
  get operations() {
    return this.log.operations;
  }

  /** Views that show what stands listen for this. */
  tell() {
    this.changed.dispatchEvent(new Event("change"));
  }

  /** @param {"pack" | "rules"} what @param {any} data */
  take(what, data) {
    this[what] = data;
    if (what === "pack") setZone(data.yard?.time_zone);
    this.tell();
  }

  /**
   * Do something: keep it as a signed operation, then send it as soon as there is a network.
   * @param {string} verb @param {any} body
   * @param {{sign?: boolean | number, insteadOf?: string | null}} [how] `sign` asks for the PIN
   *   again: true for the person's own, or another person's id, who then did it
   * @returns {Promise<import("./log.js").Operation>} it is on the disk
   */
  async do(verb, body, { sign = false, insteadOf = null } = {}) {
    const who = sign ? await askPin(sign === true ? this.person.id : sign) : this.session;
    const signer = { person: who.person.id, key_id: who.key_id, signing: who.signing };
    const op = await this.log.append(signer, verb, body, { insteadOf, offset: this.sync.spoke?.offset_ms ?? null });
    others.postMessage("appended");
    this.tell();
    this.sync.soon();
    return op;
  }

  /** Keep something unfinished, sealed. @param {string} key @param {any} value */
  async keep(key, value) {
    const at = Date.now();
    this.drafts.set(key, { key, value, at });
    await store.write(["drafts", this.#own(key), { at, box: await seal(this.session.sealing, { key, value }) }]);
  }

  /** What was kept unfinished under a key, or undefined. @param {string} key */
  draft(key) {
    return this.drafts.get(key)?.value;
  }

  /** It is finished, or given up. @param {string} key */
  async drop(key) {
    this.drafts.delete(key);
    await store.write(["drafts", this.#own(key), undefined]);
  }

  /**
   * The language is the person's, on this tablet.
   * @param {"en" | "es"} language @returns {Promise<boolean>} false where its words can't be had now
   */
  async speak(language) {
    if (!(await speak(language))) return false;
    this.person.language = language;
    await setPerson(this.person.id, { language });
    this.sync.soon(0);
    return true;
  }

  /** Words that were not here when the person came are here as soon as there is a network. */
  async speakOwn() {
    if (spoken() !== this.person.language) await speak(this.person.language);
  }

  /** A revoked tablet shows no fleet any more. What was recorded stays until it is sent. */
  async clear() {
    this.pack = null;
    this.rules = null;
    await store.write(["fetched", "pack", undefined], ["fetched", "rules", undefined]);
  }

  #own(key) {
    return `${this.person.id}:${key}`;
  }

  async #loadDrafts() {
    const mine = (await store.all("drafts")).filter(([key]) => key.startsWith(this.#own("")));
    for (const [, { at, box }] of mine) {
      const { key, value } = await unseal(this.session.sealing, box);
      this.drafts.set(key, { key, value, at });
    }
  }
}

// Photos on the tablet: made small one at a time, sealed, sent after the operations, and kept until
// the server has answered for each. A picture is read from the disk only to be sent.

import { saidOf } from "./api.js";
import { seal, sealBytes, signPhoto, unseal, unsealBytes, uuid7 } from "./seal.js";
import * as store from "./store.js";

const LONG_SIDE = 1_600;
const SMALL_SIDE = 160;
const QUALITY = 0.82;
const LITTLE_SHARE = 0.1;

/** So little room is left that it is kept for operations. */
export class NoPhotoRoom extends Error {}
/** The browser can't read it as a picture. */
export class NoPicture extends Error {}

/**
 * @typedef {object} Note what is said of a photo
 * @property {string} uid @property {number} person @property {string} key @property {string} made_at
 * @property {number | null} offset_ms @property {string} about @property {string} vehicle
 * @property {number | null} joint @property {string} mac @property {number} size bytes
 * @property {string} small its small picture, as a data: address @property {string} [refused]
 */

/** The photos of one unlocked desk. */
export class Photos {
  /** @param {import("./desk.js").Desk} desk */
  constructor(desk) {
    this.desk = desk;
    this.sealing = desk.session.sealing;
    this.notes = new Map();
    this.adding = null; // {done, all} while photos are made small
    this.queue = Promise.resolve();
  }

  /** Read what is said of each; the pictures stay where they are. */
  async load() {
    const kept = await store.all("photo_notes");
    const notes = await Promise.all(kept.map(([, box]) => unseal(this.sealing, box)));
    this.notes = new Map(notes.map((note) => [note.uid, note]));
  }

  /** How many wait to be sent. */
  get waiting() {
    return this.notes.size;
  }

  /** @param {(note: Note) => boolean} which @returns {Note[]} oldest first */
  of(which) {
    return [...this.notes.values()].filter(which);
  }

  /**
   * Keep photos, one after the other, so that never more than one stands open in memory.
   * @param {File[]} files @param {{vehicle: string, joint: number | null, about: string}} what
   * @returns {Promise<{kept: number, unread: number, full: boolean}>}
   */
  add(files, what) {
    const work = this.queue.then(() => this.#addAll(files, what));
    this.queue = work.catch(() => {});
    return work;
  }

  async #addAll(files, what) {
    const came = { kept: 0, unread: 0, full: false };
    // Who took them signs them, though somebody else be at the tablet when the last is ready.
    const who = this.desk.session;
    for (const [at, file] of files.entries()) {
      this.#tell({ done: at + 1, all: files.length });
      try {
        await this.#add(file, what, who);
        came.kept += 1;
      } catch (error) {
        if (error instanceof NoPicture) came.unread += 1;
        else if (error instanceof NoPhotoRoom || error instanceof store.NoRoom) came.full = true;
        else throw error;
      }
      if (came.full) break;
    }
    this.#tell(null);
    this.desk.sync.soon();
    return came;
  }

  async #add(file, what, who) {
    if (await isFull()) throw new NoPhotoRoom();
    const { picture, small } = await shrunk(file);
    const bytes = await picture.arrayBuffer();
    const now = Date.now();
    const note = { ...what, uid: uuid7(now), person: who.person.id, key: who.key_id, made_at: new Date(now).toISOString(),
      offset_ms: this.desk.sync.spoke?.offset_ms ?? null, size: bytes.byteLength, small };
    note.mac = await signPhoto(who.signing, note, bytes);
    await this.#keep(note, await sealBytes(this.sealing, bytes));
  }

  async #keep(note, box) {
    await store.write(["photos", note.uid, box], ["photo_notes", note.uid, await seal(this.sealing, note)]);
    this.notes.set(note.uid, note);
  }

  /** Take one away before it was sent. @param {string} uid @returns {Promise<() => Promise<void>>} brings it back */
  async remove(uid) {
    const [note, box] = [this.notes.get(uid), await store.read("photos", uid)];
    await this.#forget(uid);
    this.desk.tell();
    return async () => {
      if (box) await this.#keep(note, box);
      this.desk.tell();
      this.desk.sync.soon();
    };
  }

  async #forget(uid) {
    await store.write(["photos", uid, undefined], ["photo_notes", uid, undefined]);
    this.notes.delete(uid);
  }

  /** Send one again that the server has refused. @param {string} uid */
  async again(uid) {
    await this.#note({ ...this.notes.get(uid), refused: undefined });
    this.desk.sync.soon(0);
  }

  async #note(note) {
    await store.write(["photo_notes", note.uid, await seal(this.sealing, note)]);
    this.notes.set(note.uid, note);
    this.desk.tell();
  }

  /**
   * Send what waits, one at a time. A photo goes from here once the server has it.
   * @param {(note: Note, bytes: ArrayBuffer) => Promise<{status: number, data: any}>} post
   * @param {() => boolean} enough something else is to be done first
   */
  async send(post, enough) {
    for (const note of this.of((one) => !one.refused)) {
      if (enough()) return;
      const box = await store.read("photos", note.uid);
      // Another page of this tablet has sent it, or it was taken away meanwhile.
      if (!box) {
        this.notes.delete(note.uid);
        continue;
      }
      const { status, data } = await post(note, await unsealBytes(this.sealing, box));
      if (status === 200 || status === 201) await this.#forget(note.uid);
      else await this.#note({ ...note, refused: saidOf(data) || String(status) });
      this.desk.tell();
    }
  }

  #tell(adding) {
    this.adding = adding;
    this.desk.tell();
  }
}

/** What stands in the headers of a photo. @param {Note} note @returns {Record<string, string>} */
export function headersOf(note) {
  const said = { Uid: note.uid, Person: note.person, Key: note.key, "Made-At": note.made_at, "Offset-Ms": note.offset_ms,
    About: note.about || null, Vehicle: encodeURIComponent(note.vehicle), Joint: note.joint, Mac: note.mac };
  const given = Object.entries(said).filter(([, value]) => value !== null && value !== undefined);
  return Object.fromEntries(given.map(([name, value]) => [`Photo-${name}`, String(value)]));
}

/** Whether what room is left belongs to operations. */
async function isFull() {
  const room = await store.room();
  return room !== null && room.left < Math.max(store.LITTLE_BYTES, room.quota * LITTLE_SHARE);
}

/** Drawn anew, so that nothing of the file but the picture is kept: no place, no camera. */
async function shrunk(file) {
  const open = await createImageBitmap(file).catch(() => {
    throw new NoPicture();
  });
  try {
    const picture = await drawn(open, LONG_SIDE);
    return { picture, small: await asAddress(await drawn(open, SMALL_SIDE)) };
  } finally {
    open.close();
  }
}

function drawn(open, longest) {
  const share = Math.min(1, longest / Math.max(open.width, open.height));
  const [width, height] = [open.width, open.height].map((side) => Math.max(1, Math.round(side * share)));
  const canvas = Object.assign(document.createElement("canvas"), { width, height });
  const pen = canvas.getContext("2d");
  // What a picture leaves open is white and not black.
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, width, height);
  pen.drawImage(open, 0, 0, width, height);
  return new Promise((resolve, reject) => canvas.toBlob((made) => (made ? resolve(made) : reject(new NoPicture())), "image/jpeg", QUALITY));
}

function asAddress(blob) {
  return new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(reader.result);
    reader.onerror = () => reject(reader.error);
    reader.readAsDataURL(blob);
  });
}

// A ticket as it stands here: its lines judged, what it still lacks, and the step that comes next.

import { instant } from "./overlay_facts.js";
import { judgeHere } from "./overlay_tickets.js";
import { lineName } from "./joints.js";
import { answers, broughtBy, causesMissing, opensSteering } from "./rules/work.js";
import { standing } from "./standing.js";
import { vehicleOf } from "./told.js";

const OVER = ["closed", "cancelled"];

/**
 * @param {any} desk @param {string} unit @param {string} ref an id, a uid, or that of what opened it
 * @returns {TicketNow | null}
 */
export function ticketAt(desk, unit, ref) {
  const pack = standing(desk);
  const vehicle = vehicleOf(pack, unit);
  if (!vehicle) return null;
  const opener = desk.operations.find((op) => op.uid === ref);
  const wanted = [ref, opener?.ticket].filter(Boolean).map(String);
  const named = vehicle.tickets.find((ticket) => wanted.includes(String(ticket.id)) || wanted.includes(ticket.uid));
  const ticket = named ?? (opener && vehicle.tickets.find((one) => !OVER.includes(one.state)));
  return ticket ? new TicketNow(desk, pack, vehicle, ticket) : null;
}

export class TicketNow {
  constructor(desk, pack, vehicle, ticket) {
    Object.assign(this, { desk, pack, vehicle, ticket, rules: desk.rules });
    this.lines = ticket.lines.filter((line) => line.state !== "dropped").map((line) => this.#judged(line));
    for (const one of this.#causesMissing()) one.lacks = [...one.lacks, { code: "cause_missing", field: "cause_looked_for" }];
  }

  #causesMissing() {
    const lines = this.lines.map((one) => ({ one, action: one.line.action, joint: one.joint, values: one.judged.values }));
    return causesMissing(lines, this.rules).map(({ one }) => one);
  }

  /** How it is named in what is sent. */
  get ref() {
    return this.ticket.id ?? this.ticket.uid;
  }

  get over() {
    return OVER.includes(this.ticket.state);
  }

  #judged(line) {
    const joint = this.vehicle.joints.find((one) => one.id === line.joint) ?? null;
    const judged = judgeHere({ pack: this.pack, rules: this.rules }, this.vehicle, line, line.entry?.typed ?? {}, this.#momentOf(line));
    return { line, joint, name: lineName(this.vehicle, line, this.rules), judged, lacks: this.#lacksOf(line, judged.lacks) };
  }

  /**
   * What the server has judged before by a tool's standing of that day it alone knows; and where it
   * finds something that the tablet does not, the line is not whole.
   */
  #lacksOf(line, lacks) {
    if (!line.entry || line.entry.here) return lacks;
    const found = lacks.filter(({ code }) => code !== "tool_out_of_date" || line.state === "open");
    return found.length || line.state !== "open" ? found : [{ code: "server_open", field: "" }];
  }

  /** A tool is believed or not on the day of the pull. */
  #momentOf(line) {
    return line.entry ? new Date(line.entry.at) : this.desk.now();
  }

  /** @param {string} ref an id, or work and joint */
  lineAt(ref) {
    return this.lines.find(({ line }) => ref === String(line.id) || ref === lineRef(line)) ?? null;
  }

  /** A line as it is named in what is sent. */
  nameLine(line) {
    return line.id ? { id: line.id } : { ticket: this.ref, action: line.action, joint: line.joint };
  }

  /** The entries that were seen here: a check or a close is of this work. */
  get saw() {
    return this.lines.map(({ line }) => line.entry?.uid).filter(Boolean);
  }

  /** Bench for the rules. */
  bench(when = this.desk.now()) {
    const { vehicle, rules, pack } = this;
    return { vehicle, rules, tools: pack.tools, far: pack.yard.far, at: instant(pack, rules, when) };
  }

  get holds() {
    return [...this.vehicle.holds, ...(this.vehicle.let_out ?? [])].filter((hold) => hold.ticket !== null && [this.ticket.id, this.ticket.uid].includes(hold.ticket));
  }

  get complaints() {
    const own = this.ticket.complaint;
    const held = this.holds.some((hold) => hold.reason === "complaint");
    return this.vehicle.complaints.filter((one) => one.id === own || held);
  }

  /** Everything that the work still lacks. @returns {{code: string, line?: any, params?: any}[]} */
  get workLacks() {
    return [...this.#ofLines(), ...this.#missingLines(), ...this.#apart(), ...this.#heldJoints(), ...this.#notEnough(), ...this.#nothing()];
  }

  #ofLines() {
    return this.lines.flatMap((one) => one.lacks.map((lack) => ({ ...lack, of: one })));
  }

  #missingLines() {
    const done = new Set(this.lines.map(({ line }) => line.action));
    return this.lines.flatMap((one) => {
      const wanted = broughtBy(one.line.action, this.rules, one.joint?.kind ?? null).map((action) => [action]);
      const choices = [...wanted, ...(this.rules.actions[one.line.action].brings_one_of ?? [])];
      return choices.filter((choice) => !choice.some((action) => done.has(action))).map((choice) => ({ code: "line_missing", choice, of: one }));
    });
  }

  #apart() {
    return this.vehicle.joints.filter((joint) => joint.fitted === "apart").map((joint) => ({ code: "still_apart", joint }));
  }

  #heldJoints() {
    const asking = this.holds.filter((hold) => hold.joint !== null && hold.reason !== "apart");
    return asking.filter((hold) => !this.lines.some((one) => this.#answersHold(one, hold))).map((hold) => ({ code: "held_joint", joint: this.vehicle.joints.find((one) => one.id === hold.joint) }));
  }

  #answersHold({ line, joint, judged }, hold) {
    if (!joint || joint.id !== hold.joint || !line.entry || Date.parse(line.entry.at) < Date.parse(hold.placed_at)) return false;
    const code = hold.reason === "finding" ? (hold.code ?? joint.last?.code ?? "") : "";
    return answers(line.action, code, this.rules, { newFastener: judged.values.new_fastener?.value === "yes" });
  }

  #notEnough() {
    if (!this.lines.length) return [];
    return this.complaints.filter((felt) => !this.lines.some((one) => this.#mayCure(one, felt))).map((felt) => ({ code: "not_enough", felt }));
  }

  #mayCure({ line, joint }, felt) {
    const { cannot_close_with: work = [], cannot_close_at: places = [] } = this.rules.complaints?.[felt.kind] ?? {};
    if (work.includes(line.action)) return false;
    return !joint || !(places.includes(joint.kind) || places.includes(this.rules.kinds[joint.kind].group));
  }

  #nothing() {
    return this.lines.length || this.complaints.length ? [] : [{ code: "no_lines" }];
  }

  get openedSteering() {
    return this.lines.some(({ line, joint }) => opensSteering(line.action, this.rules, joint?.kind ?? null));
  }

  /** A hold to lift, a hold-warranting joint touched, steering opened, or a complaint with nothing found. */
  get needsCheck() {
    const nothingFound = !this.lines.length && this.complaints.length > 0;
    return this.holds.length > 0 || this.openedSteering || this.lines.some(({ joint }) => joint?.holds) || nothingFound;
  }

  /** The step that comes next: work, check, release, test, close or none. */
  get step() {
    const { state } = this.ticket;
    if (this.over) return "none";
    if (state === "tested") return "close";
    if (state === "released") return "test";
    if (state === "checked") return "release";
    if (this.workLacks.length) return "work";
    return this.needsCheck ? "check" : "close";
  }

  /** The second check that stands, or null where work was done since. */
  get passedCheck() {
    return this.ticket.state === "open" ? null : (this.ticket.checks.filter((check) => check.passed).at(-1) ?? null);
  }

  /** What a check is judged by. @returns {import("./rules/check.js").Job} */
  job(person) {
    const entries = [...this.lines.map(({ line }) => line.entry), ...(this.ticket.hands ?? [])].filter(Boolean);
    const held = this.holds.filter((hold) => hold.reason === "finding");
    return {
      hands: entries.map(({ by, done_by: named, at }) => ({ by, done_by: named ?? "", at })),
      lines: this.lines.map(({ line, joint }) => ({ action: line.action, kind: joint?.kind ?? null })),
      oscillated: this.complaints.some((one) => one.kind === "axle_oscillation"),
      // What the finding was is not told of every hold: where it may have been a crack, it counts as one.
      cracked: held.some((hold) => !hold.code || hold.code === "cracked"),
      leaveUntil: (this.ticket.leaves ?? []).find((leave) => leave.person === person.id)?.until ?? null,
      state: this.ticket.state,
    };
  }
}

/** A line's place in an address. @param {any} line */
export const lineRef = (line) => String(line.id ?? [line.action, line.joint].filter(Boolean).join(":"));

// An inspection sheet as it is being filled in: kept at every tap, judged as it grows.

import { instant } from "./overlay_facts.js";
import { band } from "./rules/judge.js";
import { readLook, stanceProblems } from "./rules/looks.js";
import { doubt, inRange, toolOf } from "./rules/tools.js";
import { UnitError, parseTorque } from "./rules/units.js";

const BLANK = {
  kind: "routine", complaint: null, second_person: null, at_wheel: "", on_wheels: null, engine_on: null,
  ride_height: null, plough_on: null, meter: "", note: "", way: "", order: "walk", began: false,
  wrench: { tool: "", threads: "", figures: {} }, findings: {},
};
const CONDITIONS = ["kind", "complaint", "second_person", "at_wheel", "on_wheels", "engine_on", "ride_height", "plough_on", "meter", "note"];
// Which sheet pays off a recheck of a kind.
const SHEET_FOR = { retorque: "retorque", wheel_nuts: "retorque", routine: "routine", annual: "annual", sweep: "sweep" };
const GOOD = ["no_play", "tight"];

/** @typedef {import("./rules/looks.js").Look} Look */

export class Sheet {
  /**
   * @param {any} desk @param {any} pack as it stands @param {any} vehicle
   * @param {{key: string, kept?: any, complaint?: string, due?: string}} start
   */
  constructor(desk, pack, vehicle, { key, kept, complaint, due }) {
    Object.assign(this, { desk, pack, vehicle, key, rules: desk.rules, due });
    this.said = kept ? { ...BLANK, ...structuredClone(kept) } : { ...structuredClone(BLANK), ...this.#why(complaint, due) };
    this.joints = [...vehicle.joints].filter((joint) => joint.fitted !== "not_fitted").sort((one, other) => one.order - other.order);
  }

  #why(complaint, due) {
    if (complaint) return { complaint: Number(complaint), kind: "complaint", order: "triage" };
    const owed = this.vehicle.due.find((one) => String(one.id) === due);
    return owed ? { kind: SHEET_FOR[owed.kind] ?? "recheck" } : {};
  }

  /** The joint of what is due, where the sheet was opened for it. */
  get owed() {
    const due = this.vehicle.due.find((one) => String(one.id) === this.due);
    return this.joints.find((joint) => joint.id === due?.joint) ?? null;
  }

  /** A sheet that was refused, to be put right. @param {any} body */
  static keptOf(body) {
    const findings = Object.fromEntries(body.findings.map((look) => [look.joint, look]));
    return { ...Object.fromEntries(CONDITIONS.map((name) => [name, body[name] ?? BLANK[name]])), findings, began: true };
  }

  keep() {
    return this.desk.keep(this.key, this.said);
  }

  get frame() {
    return { joints: this.vehicle.joints, tools: this.pack.tools, rules: this.rules, at: instant(this.pack, this.rules, this.desk.now()) };
  }

  /** @returns {Look | undefined} */
  look(joint) {
    return this.said.findings[joint.id];
  }

  /** What was said of a joint, judged; null where nothing was. */
  seen(joint) {
    const look = this.look(joint);
    return look ? readLook(joint, look, this.frame) : null;
  }

  /** Say something of a joint. @returns {() => void} that takes it back */
  record(joint, look) {
    const before = this.said.findings[joint.id];
    this.#set(joint, look);
    return () => this.#set(joint, before);
  }

  #set(joint, look) {
    // The uid stays with the joint: photos of it were named by it.
    const uid = this.said.findings[joint.id]?.uid;
    if (look) this.said.findings[joint.id] = { joint: joint.id, ...(uid && { uid }), ...look };
    else delete this.said.findings[joint.id];
    this.keep();
  }

  /** Methods by which a finding can be made at a joint, in the order of its kind. */
  ways(joint, code) {
    const by = this.rules.findings[code]?.by;
    const mine = joint.methods.filter((method) => by === "any" || by?.includes(method));
    if (code !== "moved") return mine;
    const moves = this.rules.kinds[joint.kind].moved_methods;
    return mine.filter((method) => (method === "wrench" ? !joint.never_retorqued : moves.includes(method)));
  }

  /** The one that is meant where nothing else is said: the way chosen above, or what the stance allows. */
  way(joint, code) {
    const ways = this.ways(joint, code);
    if (ways.includes(this.said.way)) return this.said.way;
    if (code === "moved" && ways.includes("wrench") && this.tool) return "wrench";
    return ways.find((method) => method !== "wrench" && this.#stands(method)) ?? ways.find((method) => method !== "wrench") ?? ways[0] ?? "";
  }

  /** The way by which one tap says that there is no play: one that can tell, as the vehicle stands. */
  quickWay(joint) {
    if (!joint.codes.includes("no_play")) return "";
    const able = this.rules.kinds[joint.kind].play_methods.filter((method) => this.ways(joint, "no_play").includes(method));
    return able.includes(this.said.way) ? this.said.way : (able.find((method) => this.#stands(method)) ?? "");
  }

  #stands(method) {
    const { stance, second_person: second } = this.rules.methods[method] ?? {};
    const raised = this.said.on_wheels === false;
    const stood = !stance || (stance === "raised" ? this.said.on_wheels === false : stance !== "on_wheels" || !raised);
    return stood && (method !== "dry_steer" || !second || this.hasSecond);
  }

  get hasSecond() {
    return Boolean(this.said.at_wheel.trim() || this.said.second_person);
  }

  get tool() {
    return toolOf(this.pack.tools, this.said.wrench.tool);
  }

  /** Joints whose wrench is set to one figure, by that figure. @returns {[string, any[]][]} */
  get figures() {
    const found = new Map();
    for (const joint of this.joints) {
      if (!joint.codes.includes("tight") || !joint.spec) continue;
      found.set(joint.spec.typed, [...(found.get(joint.spec.typed) ?? []), joint]);
    }
    return [...found];
  }

  /** Why a figure cannot stand for these joints with this tool; empty where it can. */
  figureProblems(text, joints) {
    const { tool } = this;
    if (!tool) return [{ field: "tool", code: "tool_missing" }];
    const torque = this.#torque(text);
    if (torque.code) return [{ field: "torque", ...torque }];
    const wrong = doubt(tool, this.frame.at, torque.si);
    const low = joints.some((joint) => band(torque.si, joint.spec) === "below");
    return [
      wrong && { field: "tool", code: wrong },
      !inRange(tool, torque.si) && { field: "tool", code: "tool_range" },
      low && { field: "torque", code: "torque_below", hint: joints[0].spec.typed },
    ].filter(Boolean);
  }

  #torque(text) {
    try {
      return parseTorque(text, "lbf·ft");
    } catch (error) {
      if (!(error instanceof UnitError)) throw error;
      return { code: error.code, hint: error.hint };
    }
  }

  /** What one tap may record as tight: with a wrench and its figure said before. @returns {Look | null} */
  quickTight(joint) {
    const { tool, threads, figures } = this.said.wrench;
    const torque = joint.spec && figures[joint.spec.typed];
    if (!joint.codes.includes("tight") || !tool || !torque) return null;
    const look = { code: "tight", method: "wrench", torque, tool, ...(threads ? { thread_condition: threads } : {}) };
    return readLook(joint, { joint: joint.id, ...look }, this.frame).problems.length ? null : look;
  }

  /** A new look with what goes without saying. @returns {Look} */
  fresh(joint, code) {
    const method = this.rules.findings[code].by === "any" ? "" : this.way(joint, code);
    const { tool, threads, figures } = this.said.wrench;
    if (method !== "wrench") return method ? { code, method } : { code };
    const torque = (joint.spec && figures[joint.spec.typed]) || "";
    return { code, method, tool, torque, ...(threads ? { thread_condition: threads } : {}) };
  }

  get counts() {
    const looked = this.joints.filter((joint) => this.look(joint));
    const holdsLeft = this.joints.filter((joint) => joint.holds && !this.look(joint));
    return { looked: looked.length, all: this.joints.length, holdsLeft: holdsLeft.length };
  }

  /** The looks that warrant a hold. */
  get holding() {
    return this.joints.map((joint) => this.seen(joint)).filter((seen) => seen?.verdict?.response === "hold");
  }

  /** Joints as they are walked past, by group; or in the order of looking for the complaint. */
  get order() {
    const felt = this.vehicle.complaints.find((one) => one.id === this.said.complaint);
    return felt?.order && this.said.order === "triage" ? this.#triage(felt) : this.#walk(this.joints);
  }

  #walk(joints) {
    const groups = new Map();
    for (const joint of joints) {
      const { group } = this.rules.kinds[joint.kind];
      groups.set(group, [...(groups.get(group) ?? []), joint]);
    }
    return [...groups].map(([group, found]) => ({ group, joints: found, reason: null }));
  }

  /** As the server ranks it: practice's weights, what the driver told, what this fleet found. */
  #triage(felt) {
    const here = new Map(this.joints.map((joint) => [joint.id, joint]));
    const reasons = new Map(this.rules.complaints?.[felt.kind]?.order.map((row) => [row.kind, row.reason]));
    const steps = felt.order.map(({ suspect, joints, found }) => ({ suspect, found, joints: joints.map((id) => here.get(id)).filter(Boolean), reason: reasons.get(suspect) }));
    const named = new Set(steps.flatMap((step) => step.joints));
    const rest = { rest: true, joints: this.joints.filter((joint) => !named.has(joint)), reason: null };
    return [...steps, rest].filter((step) => step.joints.length);
  }

  /** Everything that stands against the sheet: of the conditions, and of each joint. */
  get problems() {
    const stance = stanceProblems(this.body, this.desk.person.id);
    const looks = this.joints.flatMap((joint) => (this.seen(joint)?.problems ?? []).map((problem) => ({ ...problem, joint })));
    const nothing = Object.keys(this.said.findings).length ? [] : [{ field: "", code: "no_findings" }];
    return [...nothing, ...stance, ...looks];
  }

  /** As it is sent. */
  get body() {
    const { wrench: _wrench, way: _way, order: _order, began: _began, findings, ...conditions } = this.said;
    const looks = this.joints.filter((joint) => findings[joint.id]).map((joint) => bare(findings[joint.id]));
    return { vehicle: this.vehicle.unit, ...conditions, findings: looks };
  }
}

/** Only what was said. @param {Look} look */
const bare = (look) => Object.fromEntries(Object.entries(look).filter(([, value]) => value !== "" && value !== null && value !== undefined));

/** Whether a finding says that nothing is wrong. @param {string} code */
export const isGood = (code) => GOOD.includes(code);

// One joint on the sheet: one tap for tight or no play, two for anything else.

import { chips, withKeys } from "./choices.js";
import { photoStrip } from "./photo_strip.js";
import { uuid7 } from "./seal.js";
import { button, field, h, say, undoBar } from "./dom.js";
import { lookWords, problemWords, readBack, torqueLine, verdictLines } from "./judged.js";
import { figureLine, findingName, lastFound, limitLine, markOf, methodName } from "./joints.js";
import { tapePad, numberPad } from "./keypad.js";
import { markOf as markFor } from "./overlay_looks.js";
import { band } from "./rules/judge.js";
import { toolWords } from "./sheet_setup.js";
import { day, name, t } from "./words.js";

const DEGREES = ["5", "10", "15", "20", "30", "45", "60", "90"];
const REASONS = ["mud", "no_lift", "no_second", "guard"];

/** A joint's row; `changed` is told after each tap. */
export class JointRow {
  /** @param {import("./sheet_model.js").Sheet} sheet @param {any} joint @param {() => void} changed */
  constructor(sheet, joint, changed) {
    Object.assign(this, { sheet, joint, changed, open: false });
    this.element = h("li", { id: `j-${joint.id}`, class: "look", tabindex: "-1" });
    this.draw();
  }

  draw(focus = "") {
    const seen = this.sheet.seen(this.joint);
    const wrong = seen?.problems.length > 0;
    this.element.className = `look${wrong ? " look--wrong" : ""}${seen ? " look--said" : ""}`;
    this.element.replaceChildren(this.head(seen), this.ways(seen), this.outcome(seen), this.open ? this.panel(seen) : "");
    if (focus) this.element.querySelector(focus)?.focus();
  }

  head(seen) {
    const { joint, sheet } = this;
    const owed = sheet.vehicle.due.filter((one) => one.joint === joint.id);
    const facts = [lastFound(joint, sheet.rules), ...owed.map((one) => t("joint.owed", { what: name(one.words), day: day(one.falls_on ?? one.due_on) }))];
    return h("div", { class: "look-head" },
      markOf(seen ? markFor(seen.look.code) : joint.mark),
      h("div", null,
        h("h3", null, joint.name, joint.holds && h("span", { class: "soft small" }, ` ${t("joint.can_hold")}`), joint.fitted === "apart" && h("span", { class: "act small" }, ` ${t("joint.apart")}`)),
        h("p", { class: "small soft" }, facts.join(" "))));
  }

  ways(seen) {
    const { joint, sheet } = this;
    const code = seen?.look.code;
    const by = sheet.quickWay(joint);
    const tight = sheet.quickTight(joint);
    const said = by ? t("look.no_play", { by: methodName(sheet.rules, by).toLowerCase() }) : t("look.no_play_open");
    const noPlay = joint.codes.includes("no_play") && button(said, () => this.noPlay(by), "plain", { "aria-pressed": String(code === "no_play"), class: "button button--plain way" });
    const quick = joint.codes.includes("tight") && button(tight ? t("look.tight_at", { torque: tight.torque, tool: tight.tool }) : t("look.tight"), () => this.tight(tight), "plain", { "aria-pressed": String(code === "tight"), class: "button button--plain way" });
    const other = code && !["no_play", "tight"].includes(code);
    const more = button(other ? t("look.change") : t("look.else"), () => this.toggle(), "plain", { "aria-expanded": String(this.open), class: "button button--plain way", "data-more": "" });
    return h("div", { class: "look-ways", role: "group", "aria-label": joint.name }, noPlay, quick, more);
  }

  /** One tap where the wrench and its figure were said before; else its figure is asked for. */
  tight(quick) {
    if (quick) return this.say(quick);
    this.open = true;
    this.say({ ...this.sheet.fresh(this.joint, "tight"), method: "wrench" }, "[name='torque']");
  }

  /** One tap where a way that can tell fits how the vehicle stands; else the way is asked for. */
  noPlay(by) {
    if (by) return this.say({ ...this.sheet.fresh(this.joint, "no_play"), method: by });
    this.open = true;
    this.say({ code: "no_play" }, ".look-panel input");
  }

  toggle() {
    this.open = !this.open;
    this.draw("[data-more]");
  }

  /** Record, tell, and offer to take it back. */
  say(look, focus = "") {
    const { sheet, joint } = this;
    const back = sheet.record(joint, look);
    const undo = () => {
      back();
      this.draw("[data-more]");
      this.changed();
    };
    this.draw(focus || (this.open ? "[data-more]" : `.way[aria-pressed="true"]`));
    undoBar(t("look.recorded", { joint: joint.name, what: lookWords(sheet.desk, sheet.look(joint)) }), t("undo"), undo);
    const seen = sheet.seen(joint);
    if (seen.verdict?.response === "hold") say(this.element.querySelector(".look-said").textContent);
    this.changed();
  }

  /** A figure of the look has changed: nothing is drawn that is being typed in. */
  alter(change) {
    const { sheet, joint } = this;
    sheet.record(joint, { ...sheet.look(joint), ...change });
    const seen = sheet.seen(joint);
    this.element.querySelector(".look-said").replaceWith(this.outcome(seen));
    this.element.classList.toggle("look--wrong", seen.problems.length > 0);
    this.changed();
  }

  outcome(seen) {
    const place = h("div", { class: "look-said", "aria-live": "polite" });
    if (!seen) return place;
    const { desk } = this.sheet;
    place.append(h("p", { class: "strong" }, lookWords(desk, seen.look)));
    if (seen.torqueNm !== null) place.append(torqueLine(desk, { ...seen, spec: this.joint.spec, band: band(seen.torqueNm, this.joint.spec) }));
    if (seen.look.play && seen.playM !== null) place.append(h("p", { class: "soft" }, readBack(desk, "length", seen.look.play, "in")));
    place.append(...verdictLines(desk, seen));
    place.append(...seen.problems.map((problem) => h("p", { class: "field-error" }, problemWords(problem, { tool: seen.look.tool, joint: this.joint.name }))));
    return place;
  }

  panel(seen) {
    const { joint, sheet } = this;
    const look = seen?.look;
    const codes = joint.codes.map((code) => button(findingName(sheet.rules, code), () => this.choose(code), "plain", { "aria-pressed": String(look?.code === code), class: "button button--plain way" }));
    const known = h("p", { class: "small" }, figureLine(joint.spec), " ", limitLine(joint.limit));
    const hint = name(sheet.rules.kinds[joint.kind]?.hint);
    return h("div", { class: "look-panel stack" }, h("div", { class: "look-codes", role: "group", "aria-label": t("look.what") }, codes), look && this.asks(look), look && photoStrip(sheet.desk, { vehicle: sheet.vehicle.unit, joint: joint.id, about: () => this.uid() }), known, hint && h("p", { class: "caution" }, hint), look && button(t("look.blank"), () => this.blank(), "plain"));
  }

  /** What photos of this look are named by; it is sent with the sheet. */
  uid() {
    const { sheet, joint } = this;
    const look = sheet.look(joint);
    if (!look.uid) sheet.record(joint, { ...look, uid: uuid7() });
    return sheet.look(joint).uid;
  }

  choose(code) {
    const { sheet, joint } = this;
    const before = sheet.look(joint);
    const kept = before?.note ? { note: before.note } : {};
    this.say({ ...sheet.fresh(joint, code), ...kept }, `.look-codes [aria-pressed="true"]`);
  }

  blank() {
    const { sheet, joint } = this;
    const undone = sheet.record(joint, null);
    this.open = false;
    const back = () => {
      undone();
      this.draw("[data-more]");
      this.changed();
    };
    this.draw("[data-more]");
    undoBar(t("look.blanked", { joint: joint.name }), t("undo"), back);
    this.changed();
  }

  /** Just what this finding needs. */
  asks(look) {
    const { sheet, joint } = this;
    const ways = sheet.ways(joint, look.code).map((code) => [code, methodName(sheet.rules, code)]);
    const method = ways.length > 1 && chips({ label: t("look.how"), choices: ways, value: look.method, chosen: (code) => this.method(code) });
    const asked = { play: () => this.play(look), moved: () => this.degrees(look), not_reached: () => this.reason(look) }[look.code]?.();
    return h("div", { class: "stack" }, asked, method, look.method === "wrench" && this.wrench(look), this.note(look));
  }

  method(code) {
    const look = { ...this.sheet.look(this.joint), method: code };
    const { tool, threads } = this.sheet.said.wrench;
    if (code === "wrench" && !look.tool) Object.assign(look, { tool, ...(threads ? { thread_condition: threads } : {}) });
    this.sheet.record(this.joint, look);
    this.draw(".chips :checked");
    this.changed();
  }

  play(look) {
    const label = t("look.play");
    const shown = this.text("play", look.play, label, t("look.play_hint"));
    const typed = (text) => ((shown.input.value = text), this.alter({ play: text }));
    return [shown, tapePad({ label, value: look.play ?? "", metric: this.sheet.desk.person.units === "metric", typed })];
  }

  degrees(look) {
    const label = t("look.turned");
    const shown = this.text("degrees", look.degrees, label, t("look.turned_hint"), "decimal");
    const typed = (text) => ((shown.input.value = text), this.alter({ degrees: text }));
    return [shown, numberPad({ label, value: look.degrees ?? "", often: DEGREES, typed })];
  }

  reason(look) {
    const shown = this.text("reason", look.reason, t("look.why_not"), t("look.why_not_hint"));
    const often = REASONS.map((code) => button(t(`reason.${code}`), () => ((shown.input.value = t(`reason.${code}`)), this.alter({ reason: shown.input.value })), "plain"));
    return [h("div", { class: "look-codes", role: "group", "aria-label": t("look.why_not") }, often), shown];
  }

  wrench(look) {
    const { sheet } = this;
    const torque = this.text("torque", look.torque, t("look.torque"), "", "decimal");
    const tool = field({ name: `tool-${this.joint.id}`, tag: "select", label: t("sheet.tool") });
    tool.input.append(h("option", { value: "" }, t("sheet.no_tool")), ...sheet.pack.tools.map((one) => h("option", { value: one.code, selected: one.code === look.tool }, toolWords(one))));
    tool.input.addEventListener("change", () => this.alter({ tool: tool.input.value }));
    const extension = this.text("extension", look.extension, t("look.extension"), t("look.extension_hint"));
    const more = h("details", { open: Boolean(look.extension) }, h("summary", null, t("look.on_wrench")), withKeys(extension, { kind: "length", label: t("look.extension") }));
    torque.querySelector(".field-in").append(h("span", { class: "field-unit" }, "lbf·ft"));
    return [withKeys(torque, { kind: "number", label: t("look.torque") }), tool, more];
  }

  note(look) {
    return h("details", { class: "bay-more", open: Boolean(look.note) }, h("summary", null, t("look.note")), this.text("note", look.note, t("look.note")));
  }

  text(key, value, label, hint = "", inputmode = "text") {
    const box = field({ name: `${key}-${this.joint.id}`, label, hint, value: value ?? "", inputmode });
    box.input.name = key;
    box.input.addEventListener("input", () => this.alter({ [key]: box.input.value.trim() }));
    return box;
  }
}

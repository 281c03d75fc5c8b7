// The inspection sheet: what is said up front, then joint by joint, then sent as one.

import { button, field, h } from "../dom.js";
import { frontDrawing } from "../front_drawing.js";
import { caution, governs, problemWords, whyHolds } from "../judged.js";
import { markOf } from "../overlay_looks.js";
import { go, hash, wayOn } from "../route.js";
import { setup, setupLine } from "../sheet_setup.js";
import { JointRow } from "../sheet_joint.js";
import { Sheet } from "../sheet_model.js";
import { standing } from "../standing.js";
import { noRoom } from "../signing.js";
import { NoRoom } from "../store.js";
import { vehicleOf } from "../told.js";
import { draftKey, holdsOn, nowhere } from "../vehicle_parts.js";
import { name, t, tn } from "../words.js";

const CAUTIONS = ["dry_steer", "lift_and_rock", "wrench"];

/** @param {import("../desk.js").Desk} desk @param {Record<string, string>} params */
export function show(desk, { unit, instead, complaint, due, joint }) {
  const pack = standing(desk);
  const vehicle = vehicleOf(pack, unit);
  if (!vehicle) return nowhere(unit);
  const key = draftKey(instead, "vehicle", unit, "sheet");
  const refused = desk.operations.find((op) => op.uid === instead)?.body;
  const kept = desk.draft(key) ?? (refused && Sheet.keptOf(refused));
  const sheet = new Sheet(desk, pack, vehicle, { key, kept, complaint, due });
  const page = new SheetPage(sheet, instead, joint);
  const straight = sheet.said.began && page.wanted;
  return { title: page.title, body: page.body, busy: true, focus: straight ? page.rows.get(straight.id).element : undefined };
}

class SheetPage {
  constructor(sheet, instead, joint) {
    const wanted = sheet.joints.find((one) => String(one.id) === joint) ?? sheet.owed;
    Object.assign(this, { sheet, instead, wanted, rows: new Map() });
    const { unit } = sheet.vehicle;
    this.title = t("sheet.title", { unit });
    this.state = h("div", { class: "sheet-state", "aria-live": "polite" });
    this.list = h("div", { class: "stack" });
    this.drawing = frontDrawing(sheet.pack, sheet.vehicle, {
      mark: (joint) => this.markNow(joint),
      href: (joint) => `#j-${joint.id}`,
      chosen: (joint) => this.goTo(joint),
    });
    this.wrong = h("div", { class: "sheet-wrong" });
    this.conditions = this.setupPart();
    const back = h("p", null, h("a", { class: "bay-link", href: hash("vehicle", unit) }, t("back_to", { unit })));
    this.body = h("div", { class: "stack sheet" }, back, h("h1", null, this.title), holdsOn(sheet.vehicle), cautions(sheet.rules), this.conditions, this.drawing, this.state, this.list, this.foot());
    this.drawList();
    this.changed();
  }

  markNow(joint) {
    const look = this.sheet.look(joint);
    return look ? markOf(look.code) : joint.mark;
  }

  /** The conditions fold away once the first joint is looked at; one line tells what was said. */
  setupPart() {
    const { sheet } = this;
    const line = h("span", { class: "soft" });
    const redraw = () => {
      line.textContent = setupLine(sheet);
      this.drawList();
      this.changed();
    };
    const part = h("details", { class: "bay-more sheet-conditions-part", open: !sheet.said.began, id: "conditions" }, h("summary", null, t("sheet.conditions")), line, setup(sheet, redraw));
    line.textContent = setupLine(sheet);
    const begin = button(t("sheet.begin"), () => {
      part.open = false;
      sheet.said.began = true;
      sheet.keep();
      if (this.wanted) this.goTo(this.wanted);
      else this.next();
    });
    part.append(h("p", null, begin));
    return part;
  }

  drawList() {
    const { sheet } = this;
    this.rows.clear();
    const sections = sheet.order.map((step) => {
      const rows = step.joints.map((joint) => this.row(joint));
      return h("section", { class: "sheet-group stack" }, h("h2", null, stepTitle(sheet, step)), step.reason && h("p", { class: "soft" }, name(step.reason)), step.found > 0 && h("p", { class: "soft" }, tn("sheet.found", step.found)), h("ul", { class: "looks" }, rows.map((row) => row.element)));
    });
    this.list.replaceChildren(...sections);
  }

  row(joint) {
    const row = new JointRow(this.sheet, joint, () => this.changed());
    this.rows.set(joint.id, row);
    return row;
  }

  changed() {
    const { looked, all, holdsLeft } = this.sheet.counts;
    const holding = this.sheet.holding;
    const holds = holding.length > 0 && h("div", { class: "hold" }, h("p", { class: "hold-word" }, t("sheet.holds")), h("ul", null, holding.map((seen) => h("li", null, whyHolds(this.sheet.desk, seen)))));
    this.state.replaceChildren(h("p", null, t("sheet.count", { looked, all }), " ", holdsLeft > 0 && h("span", { class: "soft" }, tn("sheet.holds_left", holdsLeft))), ...[holds].filter(Boolean));
    this.drawing?.redraw();
  }

  goTo(joint) {
    const row = this.rows.get(joint.id);
    row?.element.scrollIntoView({ block: "center" });
    row?.element.querySelector("button")?.focus({ preventScroll: true });
  }

  /** To the next joint of which nothing was said. */
  next() {
    const left = this.sheet.order.flatMap((step) => step.joints).find((joint) => !this.sheet.look(joint));
    if (left) this.goTo(left);
  }

  foot() {
    const note = field({ name: "note", tag: "textarea", label: t("sheet.note"), value: this.sheet.said.note, maxlength: 2000 });
    note.input.addEventListener("input", () => {
      this.sheet.said.note = note.input.value;
      this.sheet.keep();
    });
    const actions = h("p", { class: "bay-actions" }, button(t("sheet.send"), () => this.send()), button(t("sheet.next"), () => this.next(), "plain"), button(t("sheet.drop"), () => this.give(), "plain"));
    return h("div", { class: "stack sheet-foot" }, note, governs(), this.wrong, h("p", { class: "soft small" }, t("sheet.blank_says")), actions);
  }

  async send() {
    const onward = wayOn();
    const { sheet } = this;
    const problems = sheet.problems;
    this.wrong.replaceChildren(problems.length ? this.problemList(problems) : "");
    if (problems.length) return this.wrong.querySelector("[tabindex]").focus();
    try {
      await sheet.desk.do("record_inspection", sheet.body, { insteadOf: this.instead ?? null });
    } catch (error) {
      if (!(error instanceof NoRoom)) throw error;
      return void this.wrong.replaceChildren(noRoom());
    }
    await sheet.desk.drop(sheet.key);
    onward(hash("vehicle", sheet.vehicle.unit));
  }

  problemList(problems) {
    const rows = problems.map((problem) => {
      const words = problemWords(problem, { tool: problem.joint && this.sheet.look(problem.joint)?.tool });
      const lead = () => (problem.joint ? this.goTo(problem.joint) : this.openConditions());
      return h("li", null, button(problem.joint ? `${problem.joint.name}: ${words}` : words, lead, "plain"));
    });
    return h("div", { class: "warning", role: "alert", tabindex: "-1" }, h("p", { class: "strong" }, tn("sheet.not_yet", problems.length)), h("ul", { class: "plain stack" }, rows));
  }

  openConditions() {
    this.conditions.open = true;
    this.conditions.scrollIntoView();
    this.conditions.querySelector("summary").focus();
  }

  /** Given up only after a second word: what was kept is then gone from this tablet. */
  give() {
    const sure = h("div", { class: "warning stack" }, h("p", null, t("sheet.drop_sure")), button(t("sheet.drop_yes"), async () => {
      await this.sheet.desk.drop(this.sheet.key);
      go(hash("vehicle", this.sheet.vehicle.unit), { instead: true });
    }), " ", button(t("sheet.drop_no"), () => this.wrong.replaceChildren(""), "plain"));
    this.wrong.replaceChildren(sure);
    sure.querySelector("button").focus();
  }
}

function cautions(rules) {
  return h("details", { class: "bay-more", open: true }, h("summary", null, t("sheet.cautions")), governs(), CAUTIONS.map((code) => caution(rules, code)));
}

function stepTitle(sheet, step) {
  if (step.rest) return t("sheet.rest");
  const group = step.group ?? step.suspect;
  return name(sheet.rules.kinds[group]?.names) || t(`group.${group}`);
}

// One line of a ticket: just what its work asks for, judged as it is typed.

import { field, form, h } from "../dom.js";
import { governs, problemWords, shownLength, torqueLine } from "../judged.js";
import { figureLine } from "../joints.js";
import { lineField } from "../line_fields.js";
import { hash, wayOn } from "../route.js";
import { applicable } from "../rules/fields.js";
import { judgeLine } from "../rules/lines.js";
import { toeReadings, toeSpec } from "../rules/toe.js";
import { causesMissing } from "../rules/work.js";
import { noRoom } from "../signing.js";
import { NoRoom } from "../store.js";
import { lineRef, ticketAt } from "../ticket_model.js";
import { entryWords, lackWords } from "../ticket_words.js";
import { photoStrip } from "../photo_strip.js";
import { backTo, draftKey, holdsOn, nowhere } from "../vehicle_parts.js";
import { name, t, tn, when } from "../words.js";

/** @param {import("../desk.js").Desk} desk @param {Record<string, string>} params */
export function show(desk, { unit, ref, line: at, instead }) {
  const now = ticketAt(desk, unit, ref);
  const one = now?.lineAt(at);
  if (!one) return nowhere(unit);
  const page = new LinePage(desk, now, one, instead);
  return { title: one.name, body: page.body, busy: true, update: () => page.others() };
}

class LinePage {
  constructor(desk, now, one, instead) {
    Object.assign(this, { desk, now, one, instead });
    const { unit } = now.vehicle;
    this.key = draftKey(instead, "vehicle", unit, "ticket", now.ref, "line", lineRef(one.line));
    this.refused = desk.operations.find((op) => op.uid === instead);
    const kept = desk.draft(this.key) ?? this.refused?.body;
    this.typed = { ...(kept?.typed ?? one.line.entry?.typed) };
    this.saw = this.refused?.theirs?.uid ?? one.line.entry?.uid ?? null;
    this.doneBy = field({ name: "done_by", label: t("line.done_by"), value: kept?.done_by ?? "", maxlength: 120 });
    this.doneBy.input.addEventListener("input", () => this.keep());
    this.told = new Map();
    this.missing = h("div", { class: "stack" });
    this.wrong = h("div", null);
    this.standing = h("div", null);
    this.boxes = new Map();
    this.body = this.draw();
    this.others();
    this.judge();
  }

  draw() {
    const { one, now } = this;
    const { unit } = now.vehicle;
    const rule = now.rules.actions[one.line.action];
    const fields = one.judged.fields.flatMap((each) => [this.box(each), this.toldAfter(each.name)]);
    const asked = form(t("line.keep"), () => this.send(), fields, this.doneBy, this.missing, this.wrong);
    const caution = name(rule.caution);
    return h("div", { class: "stack" }, backTo(t("line.back"), "vehicle", unit, "ticket", now.ref), h("h1", null, one.name), holdsOn(now.vehicle),
      caution && h("p", { class: "caution" }, caution), this.against(), this.standing, h("p", { class: "soft small" }, t("line.parts")), asked, photoStrip(this.desk, { vehicle: unit, joint: one.joint?.id ?? null, about: () => String(now.ref) }), governs());
  }

  /** What the figures are held against, and where that comes from. */
  against() {
    const { joint, line } = this.one;
    const pulls = this.one.judged.fields.some((each) => each.type === "torque");
    if (joint && pulls) return h("p", null, joint.never_retorqued ? h("span", { class: "act" }, t("joint.never_retorqued")) : figureLine(joint.spec));
    if (line.action !== "set_toe") return null;
    const { toe } = this.now.vehicle;
    return h("p", null, toe ? t("toe.spec", { spec: toe.typed, source: toe.source }) : t("toe.no_spec"));
  }

  /** Work that another person recorded meanwhile is told of, never replaced unseen. */
  others() {
    const now = ticketAt(this.desk, this.now.vehicle.unit, String(this.now.ref)) ?? this.now;
    const entry = now.lineAt(lineRef(this.one.line))?.line.entry;
    const changed = entry && entry.uid !== this.saw && entry.by !== this.desk.person.id;
    const words = entry ? h("p", { class: changed ? "warning" : "small soft" }, changed ? t("line.meanwhile", { who: entry.by_name, when: when(entry.at) }) : entryWords(entry, when)) : "";
    this.standing.replaceChildren(words);
  }

  box(each) {
    const typed = (value) => {
      if (value === null) delete this.typed[each.name];
      else this.typed[each.name] = value;
      this.keep();
      this.judge();
    };
    const box = lineField(each, this.typed[each.name], { pack: this.now.pack, desk: this.desk }, typed);
    this.boxes.set(each.name, box);
    return box;
  }

  /** What figures come to is told where the last of them is typed. */
  toldAfter(named) {
    const last = this.one.line.action === "set_toe" ? named === "left_front_3" : /(^|_)extension$/.test(named);
    if (!last) return null;
    const place = h("div", { class: "stack line-told", "aria-live": "polite" });
    this.told.set(named.replace("extension", ""), place);
    return place;
  }

  keep() {
    return this.desk.keep(this.key, { typed: this.typed, done_by: this.doneBy.input.value.trim() });
  }

  judge() {
    const { line, joint } = this.one;
    this.judged = judgeLine({ action: line.action, joint, facts: line.facts }, this.typed, this.now.bench());
    const asked = new Set(applicable(this.judged.fields, this.judged.values).map((each) => each.name));
    for (const [named, box] of this.boxes) box.hidden = !asked.has(named);
    this.mark();
    for (const [prefix, place] of this.told) place.replaceChildren(...(prefix === "left_front_3" ? this.toe() : this.pull(prefix)));
    this.lacking();
  }

  /** Beside each field what is wrong with it; what is only missing is told below. */
  mark() {
    const wrong = [...this.judged.refused, ...this.judged.lacks.filter(({ code }) => code !== "missing")];
    for (const [named, box] of this.boxes) {
      const mine = wrong.filter((problem) => problem.field === named && this.typed[named] !== undefined);
      box.wrong(mine.map((problem) => problemWords(problem, { tool: this.typed.tool ?? "", label: "" })).join(" "));
    }
  }

  pull(prefix) {
    const pull = this.judged.pulls.find((one) => one.prefix === prefix);
    if (!pull) return [];
    const extensionM = this.judged.values[`${prefix}extension`]?.si;
    return [torqueLine(this.desk, { ...pull, wrenchNm: pull.saidNm, extensionM, spec: pull.joint.spec })];
  }

  /** Toe is worked out from the readings, never typed. */
  toe() {
    const { values } = this.judged;
    const spec = toeSpec(values, this.now.vehicle);
    const told = toeReadings(values).map(({ asLeft, toeM, rear }) => h("p", null, h("span", { class: "strong" }, t(asLeft ? "toe.left" : "toe.found", { toe: this.toeWords(toeM) })), rear === "left_rear" && spec ? h("span", { class: "soft" }, ` ${t("toe.against", { low: shownLength(this.desk, spec.low), high: shownLength(this.desk, spec.high) })}`) : ""));
    const out = this.judged.lacks.filter(({ code }) => code === "toe_out" || code === "toe_unjudged");
    return [...told, ...out.map((problem) => h("p", { class: "act" }, problemWords(problem)))];
  }

  toeWords(toeM) {
    const size = shownLength(this.desk, Math.abs(toeM));
    if (Math.abs(toeM) < 1e-5) return t("toe.none");
    return t(toeM > 0 ? "toe.in" : "toe.out", { size });
  }

  lacking() {
    const { lacks } = this.judged;
    const one = { ...this.one, judged: this.judged };
    const rows = lacks.map((lack) => h("li", null, lackWords(this.now, { ...lack, of: one })));
    const cause = this.asksForCause() && h("p", { class: "warning" }, t("lack.cause_missing"));
    this.missing.replaceChildren(...[cause].filter(Boolean), ...(rows.length ? [h("p", { class: "strong" }, tn("line.lacks", rows.length)), h("ul", { class: "lacks" }, rows)] : [h("p", null, t("line.whole"))]));
  }

  /** It moved the second time running, and no line of this ticket says that the cause was looked for. */
  asksForCause() {
    const { now, one, judged } = this;
    const others = now.lines.filter(({ line }) => line !== one.line).map(({ line, joint, judged: { values } }) => ({ action: line.action, joint, values }));
    const mine = { action: one.line.action, joint: one.joint, values: judged.values };
    return causesMissing([mine, ...others], now.rules).includes(mine);
  }

  async send() {
    const onward = wayOn();
    const { refused } = this.judged;
    const nothing = !Object.keys(this.asked()).length;
    const words = nothing ? t("line.empty") : refused.length ? tn("line.unread", refused.length) : "";
    this.wrong.replaceChildren(words && h("p", { class: "warning", role: "alert" }, words));
    if (nothing) return undefined;
    if (refused.length) return this.boxes.get(refused[0].field)?.querySelector("input, select")?.focus();
    const body = { line: this.now.nameLine(this.one.line), typed: this.asked(), done_by: this.doneBy.input.value.trim(), saw: this.saw };
    try {
      await this.desk.do("record_line", body, { insteadOf: this.instead ?? null });
    } catch (error) {
      if (!(error instanceof NoRoom)) throw error;
      return void this.wrong.replaceChildren(noRoom());
    }
    await this.desk.drop(this.key);
    onward(hash("vehicle", this.now.vehicle.unit, "ticket", this.now.ref));
  }

  /** What is not asked for is not sent. */
  asked() {
    const shown = [...this.boxes].filter(([, box]) => !box.hidden).map(([named]) => named);
    return Object.fromEntries(shown.filter((named) => named in this.typed).map((named) => [named, this.typed[named]]));
  }
}

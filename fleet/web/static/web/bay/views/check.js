// The second check: by somebody who did no line of the ticket, signed with their own PIN.

import { chips } from "../choices.js";
import { button, field, form, h } from "../dom.js";
import { capital } from "../joints.js";
import { caution, governs, problemWords } from "../judged.js";
import { go } from "../route.js";
import { checkProblems, didALine, WAYS } from "../rules/check.js";
import { people } from "../session.js";
import { signed } from "../signing.js";
import { ticketAt } from "../ticket_model.js";
import { entryWords, lackList } from "../ticket_words.js";
import { backTo, draftKey, holdsOn, nowhere } from "../vehicle_parts.js";
import { t, when } from "../words.js";

/** @param {import("../desk.js").Desk} desk @param {Record<string, string>} params */
export async function show(desk, { unit, ref, instead }) {
  const now = ticketAt(desk, unit, ref);
  if (!now) return nowhere(unit);
  const here = (await people()).filter((person) => person.wrapped);
  const page = new CheckPage(desk, now, here, instead);
  return { title: page.title, body: page.body, busy: true };
}

class CheckPage {
  constructor(desk, now, here, instead) {
    Object.assign(this, { desk, now, here, instead });
    const { unit } = now.vehicle;
    this.title = t("check.title", { unit });
    this.key = draftKey(instead, "vehicle", unit, "ticket", now.ref, "check");
    const kept = desk.draft(this.key) ?? desk.operations.find((op) => op.uid === instead)?.body ?? {};
    this.said = { by: this.firstChecker()?.id ?? null, how: "in_person", passed: null, dry_steer: false, note: "", ...kept };
    this.wrong = h("div", null);
    const lacks = now.workLacks;
    this.body = h("div", { class: "stack" }, backTo(t("line.back"), "vehicle", unit, "ticket", now.ref), h("h1", null, this.title), holdsOn(now.vehicle),
      caution(now.rules, "dry_steer"), h("p", null, t("check.who")), this.work(),
      lacks.length > 0 && h("div", { class: "warning stack" }, h("p", { class: "strong" }, t("check.not_ready")), lackList(now, lacks)),
      this.form(), governs());
  }

  /** Whoever did no line comes first; the others are shown, and told why they can't. */
  firstChecker() {
    const { hands } = this.now.job(this.desk.person);
    return this.here.find((person) => !didALine(hands, person));
  }

  person() {
    return this.here.find((one) => one.id === this.said.by) ?? null;
  }

  work() {
    const rows = this.now.lines.map(({ line, name, lacks }) => h("li", null, h("span", { class: "strong" }, name), " ", h("span", { class: lacks.length ? "act" : "soft" }, line.entry ? entryWords(line.entry, when) : t("line.nothing"))));
    return h("section", { class: "stack" }, h("h2", null, t("check.work")), h("ul", null, rows));
  }

  form() {
    const set = (named) => (value) => {
      this.said[named] = value;
      this.keep();
    };
    const { hands } = this.now.job(this.desk.person);
    const who = this.here.map((person) => [person.id, didALine(hands, person) ? t("check.did_work", { name: person.name }) : person.name]);
    const dry = h("input", { type: "checkbox", checked: this.said.dry_steer, onchange: () => set("dry_steer")(dry.checked) });
    const note = field({ name: "note", tag: "textarea", label: t("check.note"), value: this.said.note, maxlength: 2000 });
    note.input.addEventListener("input", () => set("note")(note.input.value.trim()));
    return form(t("check.send"), () => this.send(),
      chips({ label: t("check.by"), choices: who, value: this.said.by, chosen: set("by") }),
      h("p", { class: "soft small" }, t("check.by_hint"), " ", button(t("check.another"), () => go("#/sign-in"), "plain")),
      chips({ label: t("check.how"), choices: WAYS.map((way) => [way, capital(t(`how.${way}`))]), value: this.said.how, chosen: set("how") }),
      h("div", { class: "field field--tick" }, h("label", null, dry, t("check.dry_steer"))),
      chips({ label: t("check.result"), choices: [[true, t("check.passed")], [false, t("check.failed")]], value: this.said.passed, chosen: set("passed") }),
      note, this.wrong);
  }

  keep() {
    return this.desk.keep(this.key, this.said);
  }

  problems() {
    const person = this.person();
    const { passed, dry_steer: drySteer, note, how } = this.said;
    const open = [!person && { field: "by", code: "by_missing" }, passed === null && { field: "passed", code: "passed_missing" }].filter(Boolean);
    if (open.length) return open;
    const sheet = { passed, dry_steer: drySteer, note, how };
    const found = checkProblems(person, sheet, this.now.job(person), { rules: this.now.rules, when: this.desk.now() });
    const lacks = passed ? this.now.workLacks : [];
    return [...found, ...(lacks.length ? [{ field: "", code: "work_lacks" }] : [])];
  }

  async send() {
    const problems = this.problems();
    this.wrong.replaceChildren(problems.length ? h("div", { class: "warning", role: "alert" }, h("ul", null, problems.map((problem) => h("li", null, problemWords(problem))))) : "");
    if (problems.length) return;
    const { passed, dry_steer: drySteer, note, how, by } = this.said;
    await signed(this, "second_check", { passed, dry_steer: drySteer, note, how, saw: this.now.saw }, by);
  }
}

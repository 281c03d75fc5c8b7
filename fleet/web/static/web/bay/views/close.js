// The last steps: out for a road test, the test, the close. Each is signed; offline they are claims.

import { chips, withKeys } from "../choices.js";
import { field, form, h } from "../dom.js";
import { governs, problemWords } from "../judged.js";
import { settingOf } from "../rules/settings.js";
import { signed } from "../signing.js";
import { ticketAt } from "../ticket_model.js";
import { claims, lackList, stepList } from "../ticket_words.js";
import { backTo, draftKey, holdsOn, nowhere } from "../vehicle_parts.js";
import { t } from "../words.js";

const STEPS = { release, test, close };
const VERBS = { release: "release", road_test: "test", close_ticket: "close" };

/** @param {import("../desk.js").Desk} desk @param {Record<string, string>} params */
export function show(desk, { unit, ref, instead }) {
  const now = ticketAt(desk, unit, ref);
  if (!now) return nowhere(unit);
  const again = desk.operations.find((op) => op.uid === instead);
  const step = VERBS[again?.verb] ?? now.step;
  const title = STEPS[step] ? t(`close.${step}`, { unit }) : t("close.title", { unit });
  const key = draftKey(instead, "vehicle", unit, "ticket", now.ref, "close");
  const kept = desk.draft(key);
  const page = { desk, now, key, step, instead, wrong: h("div", null), said: kept?.step === step ? kept.said : { ...again?.body } };
  const body = h("div", { class: "stack" }, backTo(t("line.back"), "vehicle", unit, "ticket", now.ref), h("h1", null, title), claims(now) ?? holdsOn(now.vehicle),
    h("section", { class: "stack" }, h("h2", null, t("ticket.steps")), stepList(now)), ...(STEPS[step]?.(page) ?? notYet(now)), governs());
  return { title, body, busy: true };
}

function notYet(now) {
  if (now.over) return [h("p", null, t("close.done"))];
  return [h("p", { class: "strong" }, t(now.step === "check" ? "close.check_first" : "close.work_first")), lackList(now)];
}

/** A text of the step, kept as it is typed. */
function text(page, named, how = {}) {
  const box = field({ name: named, label: t(`close.${named}`), value: page.said[named] ?? "", ...how });
  box.input.addEventListener("input", () => {
    page.said[named] = box.input.value.trim();
    page.desk.keep(page.key, { step: page.step, said: page.said });
  });
  return box;
}

function release(page) {
  const { rules } = page.now;
  const hours = settingOf(rules, "road_test_hours");
  const driver = text(page, "driver", { maxlength: 120 });
  const place = text(page, "place", { maxlength: 160, hint: t("close.place_hint") });
  const length = text(page, "hours", { inputmode: "decimal", hint: t("close.hours_hint", { hours }) });
  const send = () => {
    const { said } = page;
    driver.wrong(said.driver ? "" : t("close.driver_wanted"));
    place.wrong(said.place ? "" : t("close.place_wanted"));
    const asked = said.hours ? Number(String(said.hours).replace(",", ".")) : null;
    const wrong = asked !== null && !(asked > 0 && asked <= hours);
    length.wrong(wrong ? t("close.hours_wrong", { hours }) : "");
    if (!said.driver || !said.place || wrong) return undefined;
    return signed(page, "release", { driver: said.driver, place: said.place, hours: asked }, true);
  };
  return [h("p", null, t("close.release_says")), form(t("close.release_send"), send, driver, place, withKeys(length, { kind: "number", label: t("close.hours"), often: ["1", "2", "4"] }), page.wrong)];
}

function test(page) {
  const set = (value) => {
    page.said.passed = value;
    page.desk.keep(page.key, { step: page.step, said: page.said });
  };
  const speed = text(page, "top_speed", { maxlength: 30, hint: t("close.speed_hint") });
  const note = text(page, "note", { tag: "textarea", maxlength: 2000 });
  const send = () => {
    const { passed, note: said = "", top_speed: top = "" } = page.said;
    const problems = passed === undefined || passed === null ? [{ code: "passed_missing" }] : !passed && !said ? [{ code: "note_missing" }] : [];
    page.wrong.replaceChildren(problems.length ? h("p", { class: "warning", role: "alert" }, problems.map((one) => problemWords(one)).join(" ")) : "");
    return problems.length ? undefined : signed(page, "road_test", { passed, note: said, top_speed: top }, true);
  };
  return [h("p", { class: "caution" }, t("close.test_caution")), form(t("close.test_send"), send, chips({ label: t("check.result"), choices: [[true, t("check.passed")], [false, t("check.failed")]], value: page.said.passed, chosen: set }), speed, note, page.wrong)];
}

function close(page) {
  const { now } = page;
  const outcome = text(page, "outcome", { tag: "textarea", maxlength: 2000, hint: t("close.outcome_hint") });
  const send = () => signed(page, "close_ticket", { outcome: page.said.outcome ?? "", saw: now.saw }, true);
  return [now.holds.length > 0 && h("p", { class: "warning" }, t("close.claim")), form(t("close.close_send"), send, outcome, page.wrong)];
}

// No network at a far yard: two PINs make a short code, a manager who is online enters it and reads
// a reply back. With the reply the vehicle may go out for some days; then the record has to be there.

import { chips } from "../choices.js";
import { button, field, form, h, say } from "../dom.js";
import { governs } from "../judged.js";
import { askPin } from "../pinpad.js";
import { codeOf, heardRight, hourOf, replyTo } from "../rules/read_over.js";
import { settingOf } from "../rules/settings.js";
import { people } from "../session.js";
import { readOverKey } from "../standing.js";
import { ticketAt } from "../ticket_model.js";
import { lackList } from "../ticket_words.js";
import { backTo, holdsOn, nowhere } from "../vehicle_parts.js";
import { t, when } from "../words.js";

const HOUR_MS = 3_600_000;

/** @param {import("../desk.js").Desk} desk @param {Record<string, string>} params */
export async function show(desk, { unit, ref }) {
  const now = ticketAt(desk, unit, ref);
  if (!now) return nowhere(unit);
  const here = (await people()).filter((person) => person.wrapped);
  const title = t("read_over.title", { unit });
  const place = h("div", { class: "stack" });
  const page = { desk, now, here, place, key: readOverKey(now.ticket.id), worker: null };
  draw(page);
  const body = h("div", { class: "stack" }, backTo(t("line.back"), "vehicle", unit, "ticket", now.ref), h("h1", null, title), place, governs());
  return { title, body, busy: true };
}

function draw(page) {
  const { desk, now, place, key } = page;
  const kept = desk.draft(key);
  const fresh = ticketAt(desk, now.vehicle.unit, String(now.ref)) ?? now;
  const parts = [holdsOn(fresh.vehicle), h("p", null, t("read_over.says", { hours: settingOf(now.rules, "read_over_hours") }))];
  if (kept?.until) parts.push(h("p", { class: "strong" }, t("read_over.out", { until: when(kept.until) })));
  else if (kept) parts.push(...read(page, kept));
  parts.push(...(why(now) ?? (kept?.until ? [] : making(page, kept))));
  place.replaceChildren(...parts.filter(Boolean));
}

/** Why no code can be made; null where it can. */
function why(now) {
  if (!now.ticket.id) return [h("p", { class: "warning" }, t("read_over.unknown"))];
  if (now.workLacks.length) return [h("p", { class: "strong" }, t("close.work_first")), lackList(now)];
  return now.passedCheck ? null : [h("p", { class: "strong" }, t("close.check_first"))];
}

/** Who did the work and who checked it each give their PIN. */
function making(page, kept) {
  const { now, here } = page;
  const check = now.passedCheck;
  const checker = here.find((person) => person.id === check.by);
  const hands = new Set(now.job(page.desk.person).hands.map((hand) => hand.by));
  const workers = here.filter((person) => hands.has(person.id) && person.id !== check.by);
  if (!checker || !workers.length) return [h("p", { class: "warning" }, t("read_over.two_here"))];
  page.worker ??= workers.find((person) => person.id === page.desk.person.id) ?? workers[0];
  const who = chips({ label: t("read_over.worker"), choices: workers.map((person) => [person.id, person.name]), value: page.worker.id, chosen: (id) => (page.worker = workers.find((person) => person.id === id)) });
  const wrong = h("div", { "aria-live": "polite" });
  const make = async () => {
    try {
      await makeCode(page, checker);
    } catch (error) {
      if (error?.name !== "Cancelled") throw error;
      wrong.replaceChildren(h("p", { class: "soft" }, t("sign.cancelled")));
    }
  };
  return [who, h("p", null, t("read_over.checker", { name: checker.name })), wrong, h("p", null, button(t(kept ? "read_over.again" : "read_over.make"), make, kept ? "plain" : ""))];
}

async function makeCode(page, checker) {
  const { desk, now, key } = page;
  const worker = await askPin(page.worker.id);
  const second = await askPin(checker.id);
  const asked = { tablet: desk.tablet.uid, vehicle: now.vehicle.unit, ticket: now.ticket.id, worker: page.worker.id, checker: checker.id, hour: hourOf(desk.now()) };
  const code = await codeOf(asked, worker.signing, second.signing);
  await desk.keep(key, { asked, code, worker: page.worker.name, checker: checker.name });
  draw(page);
  say(grouped(code));
}

/** The code to be read over, and a place for the reply. */
function read(page, { asked, code, worker, checker }) {
  const rows = [[t("read_over.vehicle"), asked.vehicle], [t("read_over.ticket"), String(asked.ticket)], [t("read_over.worker"), worker], [t("read_over.checker_is"), checker]];
  const reply = field({ name: "reply", label: t("read_over.reply"), hint: t("read_over.reply_hint"), inputmode: "numeric", maxlength: 12 });
  const take = () => takeReply(page, reply);
  return [
    h("p", null, t("read_over.read_this")),
    h("p", { class: "read-code", translate: "no" }, grouped(code)),
    h("dl", { class: "bay-facts" }, rows.map(([term, said]) => h("div", null, h("dt", null, term), h("dd", null, said)))),
    form(t("read_over.take"), take, reply),
  ];
}

async function takeReply(page, reply) {
  const { desk, now, key } = page;
  const kept = desk.draft(key);
  const said = reply.input.value.replace(/[\s.-]/g, "");
  const misheard = said.length !== 6 || !heardRight(said);
  const wanted = misheard ? "" : await replyTo(kept.asked, kept.code, desk.session.reading);
  reply.wrong(misheard ? t("read_over.misheard") : said === wanted ? "" : t("read_over.not_true"));
  if (said !== wanted) return reply.input.focus();
  const hours = settingOf(now.rules, "read_over_hours");
  await desk.keep(key, { ...kept, until: new Date(desk.now().getTime() + hours * HOUR_MS).toISOString() });
  desk.tell();
  draw(page);
  say(page.place.textContent);
}

/** Three by three, as they are read. */
const grouped = (digits) => digits.replace(/(.{3})(?=.)/g, "$1 ");

// The words of the page, days and hours. Every word comes from the server's own catalogue.

let words = {};
let language = "en";
let zone = "UTC";

/**
 * The language that is spoken now.
 * @returns {"en" | "es"}
 */
export const spoken = () => language;

/**
 * Take up a language; the page then says so of itself.
 * @param {string} wanted
 * @returns {Promise<boolean>} false where its words are not on the tablet and no network brings them
 */
export async function speak(wanted) {
  const chosen = wanted?.startsWith("es") ? "es" : "en";
  const found = await wordsOf(chosen);
  if (!found) return false;
  words = found;
  language = chosen;
  document.documentElement.lang = chosen;
  return true;
}

/** Take up the first of these whose words are to be had. @param {string[]} wanted */
export async function speakFirst(wanted) {
  for (const one of wanted) if (await speak(one)) return;
}

async function wordsOf(chosen) {
  const { build } = document.documentElement.dataset;
  const address = `/bay/words/${chosen}.json?${build}`;
  try {
    const answer = await fetch(address);
    if (!answer.ok) return null;
    keep(build, address, answer.clone()).catch(console.error);
    return await answer.json();
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
    return null; // no network
  }
}

/** What was spoken once is there with no network. The worker (templates/bay/worker.js) reads the same cache. */
async function keep(build, address, answer) {
  const cache = await self.caches?.open(`bay-${build}`);
  if (cache && !(await cache.match(address))) await cache.put(address, answer);
}

/**
 * The zone of the yard, in which days and hours are told.
 * @param {string} name as in "America/Denver"
 */
export function setZone(name) {
  zone = name || "UTC";
}

/**
 * A text by its key, with its places filled.
 * @param {string} key
 * @param {Record<string, any>} [params]
 * @returns {string}
 */
export function t(key, params = {}) {
  const text = words[key] ?? key;
  return text.replace(/%\((\w+)\)s/g, (all, name) => (name in params ? String(params[name]) : all));
}

/**
 * A text that counts: `key.one` for 1, `key.many` for the rest.
 * @param {string} key
 * @param {number} count
 * @param {Record<string, any>} [params]
 */
export function tn(key, count, params = {}) {
  return t(count === 1 ? `${key}.one` : `${key}.many`, { ...params, count: count.toLocaleString("en-US") });
}

/**
 * A name that comes in both languages, or as typed.
 * @param {string | {en: string, es: string} | null | undefined} said
 * @returns {string}
 */
export function name(said) {
  if (said === null || said === undefined) return "";
  return typeof said === "string" ? said : (said[language] ?? said.en ?? "");
}

function parts(moment) {
  const wanted = { timeZone: zone, year: "numeric", month: "numeric", day: "numeric", hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
  const found = new Intl.DateTimeFormat("en-US", wanted).formatToParts(new Date(moment));
  return Object.fromEntries(found.map((part) => [part.type, part.value]));
}

function said(year, month, day) {
  const months = t("months").split("|");
  return t("date", { year, month: months[month - 1], day });
}

/**
 * A day as people write it. A bare date stays that date; a moment is told in the yard's zone.
 * @param {string | number | Date} moment
 */
export function day(moment) {
  const bare = typeof moment === "string" && /^(\d{4})-(\d\d)-(\d\d)$/.exec(moment);
  if (bare) return said(Number(bare[1]), Number(bare[2]), Number(bare[3]));
  const at = parts(moment);
  return said(at.year, Number(at.month), at.day);
}

/**
 * Day and hour, or the hour alone where it is today.
 * @param {string | number | Date} moment
 * @param {Date} [now]
 */
export function when(moment, now = new Date()) {
  const at = parts(moment);
  const hour = `${at.hour}:${at.minute}`;
  return day(moment) === day(now) ? t("today_at", { hour }) : t("day_at", { day: day(moment), hour });
}

/**
 * The yard's own date of a moment, year first.
 * @param {Date} moment
 */
export function dateAt(moment) {
  const at = parts(moment);
  return `${at.year}-${at.month.padStart(2, "0")}-${at.day.padStart(2, "0")}`;
}

// Who may make the second check, and how. Twin of fleet/operations/checkers.py as far as a tablet
// knows: where it can't know it bars a check of one's own work.
import { isBlank } from "./texts.js";
import { opensSteering } from "./work.js";

// Between the last work and a check by the same eyes (own).
const PAUSE_MS = 30 * 60 * 1000;
export const WAYS = ["in_person", "witness", "distance", "self"];

/**
 * @typedef {{id: number, name: string, username: string, trained: boolean}} Person
 * @typedef {{by: number, done_by: string, at: string}} Hand who entered a line, who did it, when
 * @typedef {{passed: boolean, dry_steer: boolean, note: string, how: string}} Sheet
 * @typedef {{hands: Hand[], lines: {action: string, kind: string|null}[], oscillated: boolean,
 *   cracked: boolean, leaveUntil: string|null, state: string}} Job
 */

/**
 * @param {Person} person @param {Sheet} sheet @param {Job} job
 * @param {{rules: Object, when: Date}} now
 * @returns {{field: string, code: string}[]} what the work lacks is not among them
 */
export function checkProblems(person, sheet, job, now) {
  const passedBefore = sheet.passed && job.state === "checked";
  if (!["open", "checked"].includes(job.state) || passedBefore) {
    return [{ field: "", code: "already_checked" }];
  }
  if (!WAYS.includes(sheet.how)) return [{ field: "how", code: "how_unknown" }];
  const found = [];
  if (sheet.passed && !sheet.dry_steer) found.push({ field: "dry_steer", code: "dry_steer_missing" });
  if (!sheet.passed && isBlank(sheet.note)) found.push({ field: "note", code: "note_missing" });
  return [...found, ...whoChecks(person, sheet, job, now)];
}

function whoChecks(person, sheet, job, now) {
  if (sheet.how === "self") return selfCheck(sheet, job, now);
  if (didALine(job.hands, person)) return [{ field: "", code: "same_person" }];
  const afar = sheet.how !== "in_person" && !person.trained;
  return afar ? [{ field: "how", code: "not_trained" }] : [];
}

/** Entered one, or is named as who did one that somebody else entered. */
export function didALine(hands, person) {
  const names = [person.name, person.username].map((name) => (name ?? "").toLowerCase());
  return hands.some(({ by, done_by: named }) =>
    by === person.id || (!isBlank(named) && names.includes(named.trim().toLowerCase())));
}

/** The last resort of a small crew: allowed beforehand, and never for the gravest work. */
function selfCheck(sheet, job, { rules, when }) {
  const opened = job.lines.some(({ action, kind }) => opensSteering(action, rules, kind));
  const found = [];
  if (job.oscillated || job.cracked || opened) found.push({ field: "how", code: "self_check_barred" });
  else if (!(job.leaveUntil && when < new Date(job.leaveUntil))) {
    found.push({ field: "how", code: "leave_missing" });
  }
  const last = Math.max(...job.hands.map(({ at }) => new Date(at).getTime()));
  if (when.getTime() < last + PAUSE_MS) found.push({ field: "how", code: "pause_missing" });
  if (isBlank(sheet.note)) found.push({ field: "note", code: "note_missing" });
  return found;
}

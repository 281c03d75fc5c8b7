// What the work of a line is: whether it opens the steering, which findings it answers, what it
// brings with it. Twin of fleet/operations/actions.py and of parts of lines.py and closing.py.

export const SET_TOE = "set_toe";
const MENDS_NOTHING = ["clean_protect", "grease"];
// 'Opened' is a stud out of its taper, a rod end turned, a sleeve or clamp loosened; a retorque
// is not.
const OPENS_NOTHING = ["retorque", ...MENDS_NOTHING];
const ANSWERS_ANY = ["outside_shop", "repair_hole"];
const LOOSE = ["moved", "play"];
const SILENT = ["not_reached", "not_fitted"];
// Of which nobody knows that they hold a vehicle only for what a wrench mends.
const BROKEN = "broken_or_missing";

/** Whether this work opens the steering: by its kind, or by the joint that it takes apart. */
export function opensSteering(action, rules, kind = null) {
  if (rules.actions[action].opens_steering) return true;
  return Boolean(kind && rules.kinds[kind].opens_steering) && !OPENS_NOTHING.includes(action);
}

/** Whether this work on a joint answers what was found there; an empty code is any reason. */
export function answers(action, code, rules, { newFastener = false } = {}) {
  if (MENDS_NOTHING.includes(action)) return false;
  const known = rules.actions[action].answers.includes(code);
  if (!code || LOOSE.includes(code) || ANSWERS_ANY.includes(action) || known) return true;
  return code === BROKEN && newFastener;
}

const kindsOf = (rule) => (Array.isArray(rule.kinds) ? rule.kinds : []);

/** The first work that answers this finding on a joint of this kind; a person may change it. */
export function suggestedAction(kind, code, rules) {
  const fitting = Object.entries(rules.actions)
    .filter(([, rule]) => kindsOf(rule).includes(kind) && rule.answers.includes(code))
    .map(([action, rule]) => [rule.kinds.length, action])
    .sort(([few, one], [many, other]) => few - many || (one < other ? -1 : 1));
  return fitting[0]?.[1] ?? "outside_shop";
}

/** The lines that a line brings with it: opened steering always brings 'set toe'. */
export function broughtBy(action, rules, kind = null) {
  const brings = rules.actions[action].brings ?? [];
  const opened = action !== SET_TOE && opensSteering(action, rules, kind);
  return opened && !brings.includes(SET_TOE) ? [...brings, SET_TOE] : [...brings];
}

/** Why a line can't be added, or "". Twin of lines.add as far as a tablet knows. */
export function addProblem(action, joint, rules) {
  const rule = rules.actions[action];
  if (!rule) return "action_unknown";
  if (joint && joint.fitted === "not_fitted") return "joint_not_fitted";
  if (rule.kinds === "any") return "";
  if (!rule.kinds.length && joint) return "joint_not_wanted";
  if (rule.kinds.length && (!joint || !rule.kinds.includes(joint.kind))) return "joint_wrong";
  return action === "retorque" && joint.never_retorqued ? "never_retorqued" : "";
}

/** The work that can be done on a joint, or on the whole front end where there is none. */
export function actionsFor(joint, rules) {
  return Object.keys(rules.actions).filter((action) => !addProblem(action, joint, rules));
}

/** What a look leaves of a joint: whether the last telling one said 'moved', and whether the last two did. */
export function afterLook({ moved_before: before = false, moved_twice: twice = false }, code) {
  if (SILENT.includes(code)) return { moved_before: before, moved_twice: twice };
  return { moved_before: code === "moved", moved_twice: before && code === "moved" };
}

/**
 * Lines that only pull once more on what moved twice running. Twin of closing._causes.
 * @template {{action: string, joint: any, values: any}} Line
 * @param {Line[]} lines @returns {Line[]}
 */
export function causesMissing(lines, rules) {
  const asked = lines.filter(({ action }) => rules.actions[action].fields.some((field) => field.name === "cause_looked_for"));
  const looked = new Set(asked.filter(({ values }) => values.cause_looked_for?.value === true).map(({ joint }) => joint?.id));
  return asked.filter(({ joint }) => joint?.moved_twice && !looked.has(joint.id));
}

// Which fields of an action a line asks for, by what it is about. Twin of
// fleet/calc/asked_fields.py, and of the facts that fleet/operations/line_view.py hands it.
import { specOfPull } from "./pulls.js";

const ONLY = "only_";

/**
 * @param {Object[]} fields as the rule of the action has them
 * @param {Object<string, string|boolean>} about the facts of the line, by name
 * @returns {import("./fields.js").Field[]}
 */
export function askedFields(fields, about) {
  return fields.filter((field) => fits(field, about)).map((field) => asAsked(field, about));
}

const conditions = (thing) => Object.keys(thing).filter((key) => key.startsWith(ONLY));

function fits(thing, about) {
  return conditions(thing).every((key) => thing[key].includes(about[key.slice(ONLY.length)]));
}

function asAsked(field, about) {
  const renewed = Object.entries(field.by ?? {}).filter(([fact]) => about[fact] === true);
  const found = Object.assign({}, field, ...renewed.map(([, keys]) => keys));
  delete found.by;
  const bare = withoutConditions(found);
  if ("choices" in bare) bare.choices = bare.choices.filter(offered(about)).map(bareChoice);
  return bare;
}

const isObject = (thing) => typeof thing === "object" && thing !== null;
const offered = (about) => (choice) => !isObject(choice) || fits(choice, about);
const bareChoice = (choice) => (isObject(choice) ? withoutConditions(choice) : choice);

function withoutConditions(thing) {
  const gone = conditions(thing);
  return Object.fromEntries(Object.entries(thing).filter(([key]) => !gone.includes(key)));
}

/**
 * The facts that decide what is asked: of the vehicle, the joint, and the figures on file.
 * @param {{action: string, joint: Object|null, vehicle: Object, kind: Object|null, far: boolean}} of
 */
export function factsOf({ action, joint, vehicle, kind, far }) {
  const whole = { linkage: vehicle.linkage, far, held_by: "" };
  if (!joint) return whole;
  const renewed = (prefix) => newEachTime(specOfPull(action, prefix, joint, vehicle));
  return {
    ...whole,
    new_fastener: renewed(""),
    axle_nut_new_fastener: renewed("axle_nut_"),
    held_by: kind.held_by,
    kind: joint.kind,
    ride_height: kind.ride_height,
  };
}

/** Where the figure asks for it, and always where it is turned on by an angle. */
const newEachTime = (spec) => Boolean(spec && (spec.new_fastener || spec.angle));

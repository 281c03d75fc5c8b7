// Where a line's torque belongs: at its own joint, or at one that the work takes apart with it.
// Twin of ELSEWHERE in fleet/operations/evidence.py.

/** A figure and its tool, by the start of their fields' names. */
export const PULLS = ["", "axle_nut_"];

const ELSEWHERE = {
  tyre_or_wheel: { "": "wheel_nuts" },
  unit_hub: { "": "hub_bolts", axle_nut_: "axle_nut" },
};
const elsewhere = (action, prefix) => ELSEWHERE[action]?.[prefix] ?? null;

/** The figure that a pull of this line is held against, or null. */
export function specOfPull(action, prefix, joint, vehicle) {
  const kind = elsewhere(action, prefix);
  if (kind === null) return prefix ? null : (joint.spec ?? null);
  return vehicle.joints.find((one) => one.kind === kind && one.spec)?.spec ?? null;
}

/** The joint whose fastener was pulled: the line's own, or one beside it on the same side. */
export function jointOfPull(action, prefix, joint, vehicle) {
  const kind = elsewhere(action, prefix);
  if (kind === null || kind === joint.kind) return joint;
  return vehicle.joints.find((one) => one.kind === kind && one.side === joint.side) ?? joint;
}

/** The start of the names of the fields that told of this joint's torque. */
export function prefixOf(action, joint) {
  return PULLS.find((prefix) => elsewhere(action, prefix) === joint.kind) ?? "";
}

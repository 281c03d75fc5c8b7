/** The value of one of the fleet's settings, as a bare value or as the rule that states it. */
export function settingOf(rules, key) {
  const found = rules.settings[key];
  return found !== null && typeof found === "object" ? found.value : found;
}

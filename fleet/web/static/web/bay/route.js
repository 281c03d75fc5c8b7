// Addresses within the page: #/vehicle/12/hold?instead=… and back.

// Each place with its view; a word after ":" is handed to the view by that name.
const ROUTES = [
  ["", "home"],
  ["people", "people"],
  ["pin/:id", "pin"],
  ["sign-in", "sign_in"],
  ["enrol", "enrol"],
  ["status", "status"],
  ["returned", "returned"],
  ["returned/:uid", "returned"],
  ["settings", "settings"],
  ["vehicle/:unit", "vehicle"],
  ["vehicle/:unit/hold", "hold"],
  ["vehicle/:unit/meter", "meter"],
  ["vehicle/:unit/open", "open"],
  ["vehicle/:unit/sheet", "sheet"],
  ["vehicle/:unit/drawing", "drawing"],
  ["vehicle/:unit/joint/:joint", "joint"],
  ["vehicle/:unit/ticket/:ref", "ticket"],
  ["vehicle/:unit/ticket/:ref/line/:line", "line"],
  ["vehicle/:unit/ticket/:ref/check", "check"],
  ["vehicle/:unit/ticket/:ref/close", "close"],
  ["vehicle/:unit/ticket/:ref/read-over", "read_over"],
];

/** @typedef {{view: string, params: Record<string, string>, path: string}} Place */

/**
 * @param {string} hash
 * @returns {Place} the home where the hash names none
 */
export function placeOf(hash) {
  const [path, query = ""] = hash.replace(/^#?\/?/, "").split("?");
  const parts = path.split("/").map(decodeURIComponent);
  const asked = Object.fromEntries(new URLSearchParams(query));
  for (const [pattern, view] of ROUTES) {
    const wanted = pattern.split("/");
    if (wanted.length !== parts.length) continue;
    if (!wanted.every((word, at) => word.startsWith(":") || word === parts[at])) continue;
    const named = wanted.flatMap((word, at) => (word.startsWith(":") ? [[word.slice(1), parts[at]]] : []));
    return { view, params: { ...asked, ...Object.fromEntries(named) }, path: `/${path}` };
  }
  return { view: "home", params: {}, path: "/" };
}

/** Here. @returns {Place} */
export const here = () => placeOf(location.hash);

/**
 * Go to another place, or show this one anew.
 * @param {string} hash as in "#/vehicle/12" @param {{instead?: boolean}} [how] leave no way back
 */
export function go(hash, { instead = false } = {}) {
  if (location.hash === hash) return void window.dispatchEvent(new HashChangeEvent("hashchange"));
  if (instead) {
    history.replaceState(null, "", hash);
    window.dispatchEvent(new HashChangeEvent("hashchange"));
  } else location.hash = hash;
}

/** A place's address, each part made safe. @param {...(string | number)} parts */
export const hash = (...parts) => `#/${parts.map(encodeURIComponent).join("/")}`;

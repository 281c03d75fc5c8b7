// Steps that are signed by a PIN: where it was not given, everything typed still stands.

import { h } from "./dom.js";
import { go, hash } from "./route.js";
import { NoRoom } from "./store.js";
import { t } from "./words.js";

/**
 * Do something signed, then go back to the ticket.
 * @param {{desk: any, now: import("./ticket_model.js").TicketNow, key: string, wrong: HTMLElement, instead?: string}} page
 * @param {string} verb @param {any} body @param {true | number} signer true for who is at the tablet
 */
export async function signed(page, verb, body, signer) {
  const { desk, now } = page;
  try {
    await desk.do(verb, { ticket: now.ref, ...body }, { sign: signer, insteadOf: page.instead ?? null });
  } catch (error) {
    if (error?.name === "Cancelled") return void page.wrong.replaceChildren(h("p", { class: "soft" }, t("sign.cancelled")));
    if (!(error instanceof NoRoom)) throw error;
    return void page.wrong.replaceChildren(noRoom());
  }
  await desk.drop(page.key);
  go(hash("vehicle", now.vehicle.unit, "ticket", now.ref), { instead: true });
}

/** Nothing was kept: the tablet is full. */
export const noRoom = () => h("p", { class: "warning", role: "alert" }, t("no_room"));

// Figures are read back while they are typed, and a joint of the inspection sheet tells what it
// would be recorded as. The server reads and judges; here its words are only put in their place.
// Without this script the same is told when the form is sent.
const WAIT = 350;
// What on the sheet decides with a joint's own inputs.
const SHEET = ["tool", "thread_condition", "occurred_at"];
const waiting = new Map();

function ask(place, address) {
  const before = waiting.get(place);
  clearTimeout(before?.timer);
  before?.stop.abort();
  const stop = new AbortController();
  const timer = setTimeout(() => tell(place, address, stop.signal), WAIT);
  waiting.set(place, { timer, stop });
}

async function tell(place, address, signal) {
  let words = "";
  try {
    // Asked only now, with all that was typed while it waited.
    const answer = await fetch(address(), { signal });
    // Sent elsewhere, to sign in: there is nothing to say here.
    if (answer.ok && !answer.redirected) words = await answer.text();
  } catch (error) {
    if (error.name === "AbortError") return;
  }
  // An answer to what stood here before must not stay when there is no new one.
  if (!signal.aborted) place.innerHTML = words;
}

function readBack(input) {
  const place = input.closest(".field")?.querySelector("[data-understood]");
  if (!place) return;
  const { kind, unit, signed } = input.dataset;
  ask(place, () => {
    const asked = new URLSearchParams({ kind, unit: unit ?? "", text: input.value });
    if (signed) asked.set("signed", signed);
    return `${place.dataset.understood}?${asked}`;
  });
}

function foretell(look) {
  ask(look.querySelector(".foretold"), () => {
    const asked = new URLSearchParams();
    for (const [name, said] of new FormData(look.closest("form"))) {
      if (said && (SHEET.includes(name) || name.startsWith(`${look.id}-`))) asked.set(name, said);
    }
    const address = look.closest("[data-foretell]").dataset.foretell;
    return `${address.replace(/0\/$/, `${look.id.slice(1)}/`)}?${asked}`;
  });
}

// What a ticket line's figures come to, worked out by the server from all of them together.
function reckon(form, name) {
  const figures = form.querySelector("[data-heard]")?.dataset.heard.split(" ");
  if (!figures?.includes(name)) return;
  for (const place of form.querySelectorAll("[data-told]")) {
    ask(place, () => {
      const asked = new URLSearchParams();
      for (const [figure, said] of new FormData(form)) {
        if (said && figures.includes(figure)) asked.set(figure, said);
      }
      return `${place.dataset.told}&${asked}`;
    });
  }
}

function heard({ target }) {
  reckon(target.form, target.name);
  if (target.matches("input[data-kind]")) readBack(target);
  const look = target.closest("[data-foretell] .look");
  if (look) foretell(look);
  if (SHEET.includes(target.name)) {
    for (const told of document.querySelectorAll(".foretold > :first-child")) {
      foretell(told.closest(".look"));
    }
  }
}

document.querySelector("main form.form")?.addEventListener("input", heard);

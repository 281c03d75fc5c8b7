// Moving a visit to another day: dragged, or picked up with "Move" and put down on a day by tap or
// arrow keys. Whatever way, one form is sent; without this script "Move" leads to that form's page.
const mover = document.getElementById("mover");
const told = document.getElementById("picked");
let picked = null;

const puts = () => [...document.querySelectorAll(".put")];
const say = (text, unit = "") => { told.textContent = text.replace("{unit}", unit); };

function pick(visit, byHand) {
  putBack(false);
  picked = visit;
  visit.classList.add("visit--picked");
  mover.action = visit.dataset.move;
  mover.elements.version.value = visit.dataset.version;
  for (const put of puts()) put.hidden = !byHand;
  if (!byHand) return;
  say(mover.dataset.picked, visit.dataset.unit);
  const own = visit.closest("[data-day]").dataset.day;
  const first = puts().find((put) => put.value === own) ?? puts()[0];
  first?.focus({ preventScroll: true });
}

function putBack(tell) {
  if (!picked) return;
  const visit = picked;
  picked = null;
  visit.classList.remove("visit--picked");
  for (const put of puts()) put.hidden = true;
  for (const day of document.querySelectorAll(".takes")) day.classList.remove("takes");
  say(tell ? mover.dataset.left : "");
  if (tell) visit.querySelector("[data-pick]")?.focus();
}

function along(by) {
  const all = puts();
  const here = all.indexOf(document.activeElement);
  all[Math.min(Math.max(here + by, 0), all.length - 1)]?.focus({ preventScroll: true });
}

const STEPS = { ArrowLeft: -1, ArrowUp: -1, ArrowRight: 1, ArrowDown: 1 };

function keys(event) {
  if (!picked) return;
  if (event.key === "Escape") {
    event.preventDefault();
    putBack(true);
  } else if (event.key in STEPS) {
    event.preventDefault();
    along(STEPS[event.key]);
  }
}

const dayOf = (event) => event.target.closest?.("[data-day][data-takes]");

function drops() {
  document.addEventListener("dragstart", (event) => {
    const visit = event.target.closest?.("[data-visit]");
    if (!visit) return;
    event.dataTransfer.effectAllowed = "move";
    event.dataTransfer.setData("text/plain", visit.dataset.unit);
    pick(visit, false);
  });
  document.addEventListener("dragover", (event) => {
    const day = picked && dayOf(event);
    for (const other of document.querySelectorAll(".takes")) other.classList.toggle("takes", other === day);
    if (!day) return;
    event.preventDefault();
    day.classList.add("takes");
  });
  document.addEventListener("drop", (event) => {
    const day = picked && dayOf(event);
    if (!day) return;
    event.preventDefault();
    put(day.dataset.day);
  });
  document.addEventListener("dragend", () => putBack(false));
}

function put(day) {
  const said = document.createElement("input");
  Object.assign(said, { type: "hidden", name: "day", value: day });
  mover.append(said);
  picked = null;
  mover.submit();
}

if (mover) {
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("[data-pick]");
    const plain = event.button === 0 && !event.ctrlKey && !event.metaKey && !event.shiftKey;
    if (!link || !plain) return;
    event.preventDefault();
    const visit = link.closest("[data-visit]");
    // A second press on the same one opens the form: bay and people are chosen there.
    if (picked === visit) location.assign(link.href);
    else pick(visit, true);
  });
  document.addEventListener("keydown", keys);
  drops();
}

// Keeps fields and answers true to each other after the server has answered as somebody types.
// Without this script, or without htmx, the button brings the whole page, which says so itself.
const formOf = (name) => document.querySelector(`form[data-answers="${name}"]`);

// Which fields are wrong is said to assistive programs too.
document.body.addEventListener("htmx:afterSettle", (event) => {
  const form = formOf(event.target.id.replace(/-(answer|said)$/, ""));
  if (!form) return;
  for (const control of form.querySelectorAll("[aria-describedby]")) {
    const field = control.closest(".field");
    const wrong = field.querySelector(".field-error")?.childElementCount > 0;
    field.classList.toggle("field--wrong", wrong);
    if (!control.matches("input, textarea")) continue;
    if (wrong) control.setAttribute("aria-invalid", "true");
    else control.removeAttribute("aria-invalid");
  }
});

// An answer that belongs to other figures than those typed is never left standing.
function lost(event) {
  const form = event.target.closest?.("form[data-answers]");
  if (!form) return;
  const name = form.dataset.answers;
  document.getElementById(`${name}-answer`).replaceChildren();
  const said = document.createElement("p");
  said.className = "act";
  said.textContent = form.dataset.lost;
  document.getElementById(`${name}-said`).replaceChildren(said);
}
for (const failure of ["htmx:responseError", "htmx:sendError", "htmx:timeout"]) {
  document.body.addEventListener(failure, lost);
}

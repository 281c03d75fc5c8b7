// Shows a field of a ticket line only while it is asked for. Without this script all are shown;
// the server reads the same conditions and leaves out what is not asked.
const form = document.querySelector("main form.form");
const asked = [...document.querySelectorAll(".asked[data-when]")];

function valueOf(name) {
  const control = form.elements[name];
  if (!control) return "";
  if (control.type === "checkbox") return control.checked;
  return control.value;
}

function applies(block, seen) {
  const source = block.dataset.when;
  if (seen.includes(source)) return false;
  const wanted = JSON.parse(block.dataset.is);
  if (!wanted.includes(valueOf(source))) return false;
  const above = form.querySelector(`[name="${CSS.escape(source)}"]`)?.closest(".asked[data-when]");
  return !above || applies(above, [...seen, source]);
}

function show() {
  for (const block of asked) {
    // What the server has just refused stays in sight.
    block.hidden = !applies(block, []) && !block.querySelector(".field--wrong");
  }
}

form.addEventListener("change", show);
show();

// Elements, what is said aloud, the undo bar, and questions. Data never becomes markup.

const PROPERTIES = new Set(["value", "checked", "disabled", "required", "hidden"]);

/**
 * Build an element.
 * @param {string} tag
 * @param {Record<string, any> | null} [attrs] `class`, `on…` functions, properties, attributes
 * @param {...any} children nodes, texts, lists of them; null and false are left out
 * @returns {HTMLElement}
 */
export function h(tag, attrs, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attrs ?? {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (PROPERTIES.has(name)) element[name] = value;
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  element.append(...children.flat(3).filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/**
 * A picture of the server, read as SVG and never as a page's markup.
 * @param {string} text
 * @returns {Element}
 */
export function svg(text) {
  const read = new DOMParser().parseFromString(text, "image/svg+xml");
  return document.importNode(read.documentElement, true);
}

/**
 * Say something to who does not see it.
 * @param {string} text
 */
export function say(text) {
  const line = document.getElementById("said");
  line.textContent = "";
  // The same words again are said again only when they come anew.
  setTimeout(() => (line.textContent = text), 50);
}

let bar = null;
let gone = 0;

/**
 * Tell what was done, with a button that takes it back. It stays until something else is done, or
 * for 20 seconds.
 * @param {string} text
 * @param {string} label of the button
 * @param {() => any} back
 */
export function undoBar(text, label, back) {
  closeBar();
  const button = h("button", { type: "button", class: "button button--plain", onclick: () => (closeBar(), back()) }, label);
  bar = h("div", { class: "bay-bar", role: "region", "aria-label": label }, h("p", null, text), button);
  document.getElementById("low").append(bar);
  say(text);
  gone = setTimeout(closeBar, 20_000);
}

/** Take the undo bar away. */
export function closeBar() {
  clearTimeout(gone);
  bar?.remove();
  bar = null;
}

/**
 * A button.
 * @param {string} text
 * @param {(event: Event) => any} act
 * @param {string} [look] "plain", "act" or nothing
 * @param {Record<string, any>} [attrs]
 */
export function button(text, act, look = "", attrs = {}) {
  const kind = look ? `button button--${look}` : "button";
  return h("button", { type: "button", class: kind, onclick: act, ...attrs }, text);
}

/**
 * A labelled field with its hint and a place for what is wrong with it.
 * @param {{name: string, label: string, hint?: string, value?: string, tag?: string} & Record<string, any>} said
 * @returns {HTMLElement & {input: HTMLInputElement, wrong: (text: string) => void}}
 */
export function field({ name, label, hint, value = "", tag = "input", ...rest }) {
  const id = `f-${name}`;
  const error = h("p", { class: "field-error", id: `${id}-e` });
  const about = [hint && `${id}-h`, `${id}-e`].filter(Boolean).join(" ");
  const input = h(tag, { id, name, value, "aria-describedby": about, autocomplete: "off", ...rest });
  const line = h("div", { class: "field-in" }, input);
  const box = h("div", { class: "field" }, h("label", { for: id }, label), hint && h("p", { class: "field-hint", id: `${id}-h` }, hint), line, error);
  box.input = input;
  box.wrong = (text) => {
    error.textContent = text;
    box.classList.toggle("field--wrong", Boolean(text));
    if (text) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  };
  return box;
}

/**
 * A form whose sending is a function; while it runs its button rests, and what is typed stays.
 * @param {string} label of the button
 * @param {() => Promise<any>} send
 * @param {...any} children
 */
export function form(label, send, ...children) {
  const press = h("button", { class: "button", type: "submit" }, label);
  const submit = async (event) => {
    event.preventDefault();
    if (press.getAttribute("aria-disabled")) return;
    press.setAttribute("aria-disabled", "true");
    try {
      await send();
    } finally {
      press.removeAttribute("aria-disabled");
    }
  };
  return h("form", { class: "form", novalidate: true, onsubmit: submit }, children, h("p", null, press));
}

/**
 * Show what is wrong above a form and take the reader there.
 * @param {HTMLElement} place
 * @param {string} text
 */
export function wrongAt(place, text) {
  place.replaceChildren(text ? h("p", { class: "warning", role: "alert" }, text) : "");
}

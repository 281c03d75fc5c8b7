// The front end drawn: each joint a mark at its true place, enlarged by corner. The lines come in
// the pack once for all vehicles that look alike; the marks are set here, as the joints stand.

import { button, h } from "./dom.js";
import { t } from "./words.js";

const SVG = 'xmlns="http://www.w3.org/2000/svg"';
const ACT = ["moved", "play", "bad"];

/** SVG of the pack, read as a picture and never as a page's markup. */
function picture(text) {
  const read = new DOMParser().parseFromString(text.replace("<svg ", `<svg ${SVG} `), "image/svg+xml");
  return document.importNode(read.documentElement, true);
}

/**
 * The drawing of a vehicle, or null where the pack has none.
 * @param {any} pack @param {any} vehicle
 * @param {{mark: (joint: any) => string, href: (joint: any) => string, chosen?: (joint: any) => void}} how
 * @returns {(HTMLElement & {redraw: () => void}) | null}
 */
export function frontDrawing(pack, vehicle, { mark, href, chosen }) {
  const drawn = pack.drawings[vehicle.drawing];
  if (!drawn) return null;
  const said = h("figcaption", { class: "small soft" }, t("drawing.says"));
  const whole = framed(drawn.whole, "front-all");
  const parts = drawn.parts.map((part) => partOf(part));
  const figure = h("figure", { class: "front-figure front-figure--sheet bay-front" }, picture(drawn.store), whole, corners(parts, () => figure), parts.map((part) => part.element), said);
  const links = [...figure.querySelectorAll(".marks a")].map((link) => ({ link, joint: jointOf(vehicle, link) }));
  for (const { link, joint } of links) if (joint) lead(link, joint, href, chosen);
  figure.redraw = () => links.forEach(({ link, joint }) => joint && setMark(link, joint, mark(joint)));
  figure.redraw();
  tellOf(figure, said);
  return figure;
}

function framed(text, name) {
  const drawing = picture(text);
  drawing.querySelector(".marks")?.setAttribute("aria-label", t("drawing.joints"));
  return h("div", { class: name }, drawing);
}

function partOf({ code, svg }) {
  const title = h("p", { class: "front-part-name strong" }, t(`corner.${code}`));
  return { code, element: h("div", { class: "front-part" }, title, framed(svg, "front-in")) };
}

/** On a phone one corner at a time; the others see all four. */
function corners(parts, figure) {
  let open = null;
  const show = (code) => {
    open = open === code ? null : code;
    for (const part of parts) part.element.classList.toggle("front-part--open", part.code === open);
    figure().classList.toggle("bay-front--part", open !== null);
    for (const key of keys) key.setAttribute("aria-pressed", String(key.dataset.corner === open));
  };
  const keys = parts.map(({ code }) => button(t(`corner.${code}`), () => show(code), "plain", { "data-corner": code, "aria-pressed": "false" }));
  return h("div", { class: "bay-corners", role: "group", "aria-label": t("drawing.enlarge") }, keys);
}

function jointOf(vehicle, link) {
  const [, kind, side] = /^#joint-([a-z_]+)-(\w*)$/.exec(link.getAttribute("href")) ?? [];
  return vehicle.joints.find((joint) => joint.kind === kind && joint.side === side) ?? null;
}

function lead(link, joint, href, chosen) {
  link.setAttribute("href", href(joint));
  if (!chosen) return;
  link.addEventListener("click", (event) => {
    event.preventDefault();
    chosen(joint);
  });
}

function setMark(link, joint, mark) {
  const shape = [...link.querySelectorAll("use")].find((use) => use.getAttribute("href") !== "#fm-bed");
  shape?.setAttribute("href", `#fm-${mark}`);
  link.classList.toggle("act", ACT.includes(mark));
  link.querySelector("title").textContent = t("drawing.mark", { joint: joint.name, mark: t(`mark.${mark}`) });
}

/** What a mark says stands in one line below the drawing while it is pointed at or focused. */
function tellOf(figure, line) {
  const plain = line.textContent;
  const tell = (event) => {
    const title = event.target.closest?.(".marks a")?.querySelector("title");
    if (title) line.textContent = title.textContent;
  };
  const rest = () => {
    line.textContent = figure.querySelector(".marks a:focus-visible title")?.textContent ?? plain;
  };
  figure.addEventListener("pointerover", tell);
  figure.addEventListener("focusin", tell);
  figure.addEventListener("pointerleave", rest);
  figure.addEventListener("focusout", rest);
}

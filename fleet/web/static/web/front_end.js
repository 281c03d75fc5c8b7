// What a mark says (its title) stands in one line below the drawing while it is pointed at or
// focused. Without this script the browser's own hint shows it, and the link's name says it.
for (const figure of document.querySelectorAll(".front-figure")) {
  const line = figure.querySelector("[data-front-said]");
  const plain = line?.textContent;
  const tell = (event) => {
    const title = event.target.closest?.(".marks a, .marks .here, .corners a")?.querySelector("title");
    if (line && title) line.textContent = title.textContent;
  };
  const rest = () => {
    const held = figure.querySelector(".marks a:focus-visible title");
    if (line) line.textContent = held ? held.textContent : plain;
  };
  figure.addEventListener("pointerover", tell);
  figure.addEventListener("focusin", tell);
  figure.addEventListener("pointerleave", rest);
  figure.addEventListener("focusout", rest);
}

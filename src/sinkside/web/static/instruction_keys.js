// Keys between steps: j or ↓ for the next, k or ↑ for the one before. The server names both, so that a key
// costs the same however many steps there are. The lit words are brought into sight within their page.
const typing = "input, textarea, select, summary, [contenteditable]";

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest(typing)) return;
  const inSource = event.target.closest("#source");
  const way = { j: "next", k: "prev", ArrowDown: inSource ? "" : "next", ArrowUp: inSource ? "" : "prev" }[event.key];
  const link = way && document.querySelector(`[data-steps] a[rel=${way}]`);
  if (!link) return;
  event.preventDefault();
  link.click();
});

const source = document.querySelector("#source");
const lit = source?.querySelector("mark, .lit-box");
if (lit) {
  const above = lit.getBoundingClientRect().top - source.getBoundingClientRect().top;
  if (above > source.clientHeight - 60) source.scrollTop += above - source.clientHeight / 3;
}

// Keys through a lesson: → or Page Down for what comes next, ← or Page Up for what came before, as the small
// remote of a projector sends them. The page names both, so that it works by links alone.
const typing = "input, textarea, select, summary, [contenteditable]";
const isOnTheWall = document.body.classList.contains("wall");

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.shiftKey || event.target.closest(typing)) return;
  const way = { ArrowRight: "next", ArrowLeft: "prev", ...(isOnTheWall && { PageDown: "next", PageUp: "prev" }) }[event.key];
  const link = way && document.querySelector(`[data-ways] a[rel=${way}]`);
  if (!link) return;
  event.preventDefault();
  link.click();
});

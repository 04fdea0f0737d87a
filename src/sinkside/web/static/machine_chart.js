// Reads a chart point by point, by pointer or arrow keys; the table below it says the same without this.
const SVG = "http://www.w3.org/2000/svg";

function follow(chart) {
  const rows = [...document.getElementById(chart.dataset.rows).tBodies[0].rows].reverse();
  const told = document.getElementById(chart.dataset.told);
  const drawing = chart.querySelector("svg");
  const points = [...drawing.querySelectorAll(".point")].slice(-rows.length);
  let at = -1;
  let ring = null;

  const middle = (point) => {
    const box = point.getBBox();
    return [box.x + box.width / 2, box.y + box.height / 2];
  };

  function show(place) {
    at = Math.min(Math.max(place, 0), points.length - 1);
    const [cx, cy] = middle(points[at]);
    ring ??= drawing.appendChild(document.createElementNS(SVG, "circle"));
    ring.setAttribute("class", "ring");
    ring.setAttribute("r", 8);
    ring.setAttribute("cx", cx);
    ring.setAttribute("cy", cy);
    const row = rows[at];
    const said = [...row.cells].map((cell) => cell.textContent.replace(/\s+/g, " ").trim());
    told.textContent = said.filter((text) => text && text !== "–").join(" · ");
    const box = points[at].getBoundingClientRect();
    const seen = chart.getBoundingClientRect();
    if (box.left < seen.left || box.right > seen.right) chart.scrollLeft += box.left - seen.left - seen.width / 2;
  }

  const keys = {
    ArrowLeft: () => show(at < 0 ? points.length - 1 : at - 1),
    ArrowRight: () => show(at < 0 ? points.length - 1 : at + 1),
    Home: () => show(0),
    End: () => show(points.length - 1),
    Enter: () => at >= 0 && rows[at].querySelector("a").click(),
  };
  chart.addEventListener("keydown", (event) => {
    if (!keys[event.key] || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    keys[event.key]();
  });
  chart.addEventListener("pointermove", (event) => {
    const box = drawing.getBoundingClientRect();
    const x = ((event.clientX - box.left) / box.width) * drawing.viewBox.baseVal.width;
    const gaps = points.map((point) => Math.abs(middle(point)[0] - x));
    show(gaps.indexOf(Math.min(...gaps)));
  });
  chart.setAttribute("role", "application");
  told.hidden = false;
}

document.querySelectorAll("[data-rows]").forEach(follow);

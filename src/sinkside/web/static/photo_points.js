// Places the letter of the open form on the photo: by pressing or dragging there, or by its two numbers.
const figure = document.querySelector("[data-photo]");
const form = document.querySelector("[data-point-form]");
const svg = figure.querySelector("svg");
const box = svg.viewBox.baseVal;
const fields = { x: form.elements.x, y: form.elements.y };
const SVG = "http://www.w3.org/2000/svg";

figure.classList.add("lettering");
document.querySelector(".by-script").hidden = false;

/** The cross that shows where the letter of the form will be, before it is kept. */
const cross = svg.appendChild(document.createElementNS(SVG, "path"));
cross.setAttribute("fill", "none");
cross.setAttribute("stroke", "#8c1c13");
cross.setAttribute("stroke-width", String(box.width / 160));
cross.setAttribute("aria-hidden", "true");

function drawn() {
  const x = (Number(fields.x.value) / 100) * box.width;
  const y = (Number(fields.y.value) / 100) * box.height;
  const arm = box.width / 45;
  cross.setAttribute("d", `M${x - arm} ${y}H${x + arm}M${x} ${y - arm}V${y + arm}`);
}

function placed(event) {
  const seen = svg.getBoundingClientRect();
  const scale = Math.min(seen.width / box.width, seen.height / box.height);
  const left = seen.left + (seen.width - scale * box.width) / 2;
  const top = seen.top + (seen.height - scale * box.height) / 2;
  const share = (at, from, length) => Math.min(Math.max((at - from) / (scale * length), 0), 1);
  fields.x.value = (100 * share(event.clientX, left, box.width)).toFixed(1);
  fields.y.value = (100 * share(event.clientY, top, box.height)).toFixed(1);
  drawn();
}

svg.addEventListener("pointerdown", (event) => {
  if (event.button !== 0) return;
  event.preventDefault();
  svg.setPointerCapture(event.pointerId);
  placed(event);
});
svg.addEventListener("pointermove", (event) => {
  if (svg.hasPointerCapture(event.pointerId)) placed(event);
});
for (const field of Object.values(fields)) {
  field.addEventListener("input", drawn);
  field.addEventListener("keydown", (event) => {
    const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (!way) return;
    event.preventDefault();
    const moved = Number(field.value) + way * (event.shiftKey ? 5 : 0.5);
    field.value = Math.min(Math.max(moved, 0), 100).toFixed(1);
    drawn();
  });
}
drawn();

// Looks closer at a cycle's record. The house draws each stretch anew from its samples (the same drawing as on
// paper); here one only points, reads values and asks for the next stretch.
const record = document.querySelector("[data-trace]");
const drawn = record.querySelector("[data-drawn]");
const values = record.querySelector("[data-values]");
const announced = record.querySelector("[data-announced]");
const help = record.querySelector("[data-help]");
const SVG = "http://www.w3.org/2000/svg";

let shown; // what the house answered last
let wanted; // the stretch that is asked for, [from, to] in seconds
let at = null; // the cursor, in seconds
let asking; // stops an older question
let pause;
let dragFrom = null;

const width = () => {
  const larger = parseFloat(getComputedStyle(document.documentElement).fontSize) / 17;
  return Math.round(Math.min(Math.max(drawn.clientWidth / larger, 320), 2400));
};

async function show(from, to) {
  wanted = [from, to];
  asking?.abort();
  asking = new AbortController();
  const asked = new URLSearchParams({ width: width() });
  if (from !== null) {
    asked.set("start", from.toFixed(2));
    asked.set("end", to.toFixed(2));
  }
  try {
    const answer = await fetch(`${record.dataset.trace}?${asked}`, { signal: asking.signal });
    if (!answer.ok) throw new Error("refused");
    ({ drawn: shown } = await answer.json());
  } catch (error) {
    if (error.name !== "AbortError") tell("The record could not be drawn; load the page again.");
    return;
  }
  wanted = [shown.start_s, shown.end_s];
  const svg = new DOMParser().parseFromString(shown.svg, "image/svg+xml").documentElement;
  drawn.replaceChildren(document.importNode(svg, true));
  record.dataset.from = shown.start_s;
  record.dataset.to = shown.end_s;
  if (at !== null) point(Math.min(Math.max(at, shown.start_s), shown.end_s), false);
}

function look(around, span) {
  const wide = Math.min(Math.max(span, shown.closest_s), shown.whole_s);
  const from = Math.min(Math.max(around - wide / 2, 0), shown.whole_s - wide);
  const done = show(from, from + wide);
  say(`From ${clock(from)} to ${clock(from + wide)}`);
  return done;
}

const acts = {
  closer: (span, middle) => zoom(0.5, at ?? middle),
  wider: (span, middle) => zoom(2, at ?? middle),
  earlier: (span, middle) => look(middle - span / 2, span),
  later: (span, middle) => look(middle + span / 2, span),
  whole: () => look(shown.whole_s / 2, shown.whole_s),
};

function act(name) {
  if (!shown) return;
  const [from, to] = wanted;
  acts[name](to - from, (from + to) / 2);
}

// What is pointed at stays where it is while the stretch around it narrows or widens.
function zoom(factor, about) {
  const [from, to] = wanted;
  const span = Math.min(Math.max((to - from) * factor, shown.closest_s), shown.whole_s);
  const share = Math.min(Math.max((about - from) / (to - from || 1), 0), 1);
  look(about + (0.5 - share) * span, span);
}

const clock = (s) => `${Math.floor(s / 60)} min ${Math.floor(s % 60)} s`;

const nearest = (curve, time) => {
  let low = 0;
  let high = curve.times_s.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (curve.times_s[middle] <= time) low = middle;
    else high = middle;
  }
  return time - curve.times_s[low] <= curve.times_s[high] - time ? low : high;
};

function read(time) {
  const phase = shown.phases.find((one) => one.start_s <= time && time <= one.end_s);
  const parts = [clock(time)];
  if (phase) parts.push(phase.words);
  for (const curve of shown.curves) {
    const value = curve.values[nearest(curve, time)];
    parts.push(`${curve.name} ${value === null ? "–" : `${value.toFixed(1)} ${curve.unit}`}`);
  }
  return parts;
}

const across = (time) => {
  const { left, right, start_s: from, end_s: to } = shown.frame;
  return left + ((time - from) / (to - from)) * (right - left);
};

function mark(name, tag, set) {
  const svg = drawn.firstElementChild;
  const one = svg.appendChild(document.createElementNS(SVG, tag));
  one.setAttribute("class", name);
  for (const [key, value] of Object.entries(set)) one.setAttribute(key, value);
}

const clear = (names) => drawn.querySelectorAll(names).forEach((one) => one.remove());

function point(time, spoken) {
  at = time;
  clear(".cursor, .at");
  const { panels } = shown.frame;
  const x = across(time);
  mark("cursor", "line", { x1: x, x2: x, y1: panels[0].top, y2: panels.at(-1).bottom });
  for (const curve of shown.curves) {
    const value = curve.values[nearest(curve, time)];
    const panel = panels[curve.panel];
    const y = panel.bottom - ((value - panel.low) / (panel.high - panel.low)) * (panel.bottom - panel.top);
    if (value !== null) mark("at", "circle", { cx: x, cy: y, r: 4 });
  }
  const parts = read(time);
  values.replaceChildren(
    ...parts.map((part) => Object.assign(document.createElement("b"), { textContent: part })),
  );
  if (spoken) say(parts.join(", "));
}

// Spoken only once the hand rests, so that nobody hears every sample passed on the way.
function say(words) {
  clearTimeout(pause);
  pause = setTimeout(() => (announced.textContent = words), 350);
}

const tell = (words) => ([values.textContent, announced.textContent] = [words, words]);

function timeAt(event) {
  const box = drawn.firstElementChild.getBoundingClientRect();
  const scale = drawn.firstElementChild.viewBox.baseVal.width / box.width;
  const { left, right, start_s: from, end_s: to } = shown.frame;
  const share = ((event.clientX - box.left) * scale - left) / (right - left);
  return from + Math.min(Math.max(share, 0), 1) * (to - from);
}

// One sample further; at the edge of what is shown the stretch moves along.
async function step(by) {
  const curve = shown.curves[0];
  const here = at ?? (shown.start_s + shown.end_s) / 2;
  const next = curve.times_s[nearest(curve, here) + by];
  const [from, to] = wanted;
  const isAtEdge = next === undefined && (by < 0 ? from > 0 : to < shown.whole_s);
  if (isAtEdge) await look((from + to) / 2 + (by * (to - from)) / 4, to - from);
  else if (next !== undefined) point(next, true);
}

const keys = {
  "+": () => act("closer"), "=": () => act("closer"), "-": () => act("wider"), "−": () => act("wider"),
  0: () => act("whole"), Escape: () => act("whole"),
  ArrowLeft: (event) => step(event.shiftKey ? -10 : -1), ArrowRight: (event) => step(event.shiftKey ? 10 : 1),
  PageUp: () => act("earlier"), PageDown: () => act("later"),
  Home: () => point(shown.start_s, true), End: () => point(shown.end_s, true),
};

function listen() {
  record.querySelectorAll("[data-do]").forEach((button) =>
    button.addEventListener("click", (event) => {
      event.preventDefault();
      act(button.dataset.do);
    }),
  );
  drawn.addEventListener("keydown", (event) => {
    const done = keys[event.key];
    if (!done || event.ctrlKey || event.metaKey || event.altKey || !shown) return;
    event.preventDefault();
    done(event);
  });
  drawn.addEventListener("wheel", (event) => {
    if (!shown || !(event.ctrlKey || document.activeElement === drawn)) return;
    event.preventDefault();
    zoom(event.deltaY < 0 ? 0.7 : 1.4, timeAt(event));
  }, { passive: false });
  drawn.addEventListener("pointerdown", (event) => {
    if (event.button === 0 && shown) dragFrom = timeAt(event);
  });
  drawn.addEventListener("pointermove", (event) => {
    if (!shown) return;
    const time = timeAt(event);
    point(time, false);
    clear(".span");
    if (dragFrom === null) return;
    const [from, to] = [across(Math.min(dragFrom, time)), across(Math.max(dragFrom, time))];
    const { panels } = shown.frame;
    const [y, height] = [panels[0].top, panels.at(-1).bottom - panels[0].top];
    mark("span", "rect", { x: from, width: to - from, y, height });
  });
  addEventListener("pointerup", (event) => {
    if (dragFrom === null) return;
    const [from, to] = [dragFrom, timeAt(event)].sort((a, b) => a - b);
    dragFrom = null;
    clear(".span");
    if (across(to) - across(from) > 8) look((from + to) / 2, to - from);
    else say(read(to).join(", "));
  });
  addEventListener("pointercancel", () => { dragFrom = null; clear(".span"); });
  let last = width();
  new ResizeObserver(() => {
    if (Math.abs(width() - last) < 24) return;
    last = width();
    show(...wanted);
  }).observe(drawn);
}

// Paper shows the whole cycle, however closely somebody looks at the screen.
function keepForPaper() {
  const paper = record.appendChild(document.createElement("div"));
  paper.className = "printed";
  const whole = paper.appendChild(drawn.firstElementChild.cloneNode(true));
  whole.removeAttribute("aria-labelledby");
  whole.setAttribute("aria-label", "Record of the whole cycle");
  whole.querySelectorAll("[id]").forEach((one) => one.removeAttribute("id"));
  record.classList.add("live");
}

keepForPaper();
drawn.tabIndex = 0;
drawn.setAttribute("role", "application");
drawn.setAttribute("aria-label", "Record of the cycle");
drawn.setAttribute("aria-describedby", help.id);
help.hidden = false;
values.hidden = false;
listen();
await show(null, null);

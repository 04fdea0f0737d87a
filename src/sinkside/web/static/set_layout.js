// Pieces are moved by hand or by keys; the house alone judges. What it answers is its own page, and what is live
// of that replaces what is here, so that nothing is worked out twice.
const box = document.querySelector("[data-tray]");
const said = document.querySelector("[data-said]");
const form = () => document.querySelector("[data-move]");
const things = () => [...box.querySelectorAll("[data-piece]")];
const PAUSE = 800; // ms: presses that follow each other sooner are one move
const EDGE = 12; // mm

let chosen = "";
let pause;
let asking = Promise.resolve();
let hand = null;
let waiting = false; // something was moved that the house was not asked about yet

const field = (name) => form().elements[name];
const thing = (id) => things().find((one) => one.dataset.piece === id);
const tell = (words) => { said.textContent = words; };

const row = (id) => [...document.querySelectorAll(".places-list [data-id]")].find((one) => one.dataset.id === id);

function choose(id, spoken) {
  const known = row(id)?.dataset;
  if (!known) return;
  // What was moved before must not be taken for this one.
  if (waiting && chosen && id !== chosen) judge();
  chosen = id;
  field("piece").value = id;
  document.querySelector("[data-moving]").textContent = known.words;
  for (const name of ["x", "y", "turn", "raised", "level"]) {
    if (field(name)) field(name).value = known[name];
  }
  things().forEach((one) => one.classList.toggle("chosen", one.dataset.piece === id));
  if (spoken) tell(`${known.words}, ${known.x} by ${known.y} mm, turned ${known.turn}°`);
}

// What is typed may be no number yet; then the piece is still where it lay.
const number = (name) => {
  const typed = parseFloat(field(name).value);
  return Number.isFinite(typed) ? typed : parseFloat(row(chosen)?.dataset[name]) || 0;
};
const tenth = (value) => String(Math.round(value * 10) / 10);

function show() {
  // However far it goes, it stays in sight, so that it can be brought back.
  const seen = box.querySelector("svg").viewBox.baseVal;
  const within = (at, from, length) => Math.min(Math.max(at, from + EDGE), from + length - EDGE);
  const [x, y] = [within(number("x"), seen.x, seen.width), within(number("y"), seen.y, seen.height)];
  thing(chosen)?.setAttribute("transform", `translate(${x} ${y})`);
}

function shift(x, y) {
  field("x").value = tenth(number("x") + x);
  field("y").value = tenth(number("y") + y);
  show();
  later();
}

function turn(by) {
  field("turn").value = String(((number("turn") + by) % 360 + 360) % 360);
  later();
}

function later() {
  waiting = true;
  clearTimeout(pause);
  pause = setTimeout(judge, PAUSE);
}

function judge() {
  waiting = false;
  clearTimeout(pause);
  const sent = new URLSearchParams(new FormData(form()));
  asking = asking.then(() => ask(form().action, sent));
}

async function ask(address, sent) {
  // An answer may have come meanwhile; what is sent stands on the latest.
  sent.set("on_revision", field("on_revision").value);
  try {
    const answer = await fetch(address, { method: "POST", body: sent, keepalive: true });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (!page.querySelector("[data-live=map]")) throw new Error("refused");
    trouble(page);
    if (answer.ok) take(page);
    else refused(page);
  } catch {
    tell("It was not moved; load the page again.");
    said.classList.remove("unseen");
    box.classList.add("stale");
  }
}

function trouble(page) {
  document.querySelector("main > .trouble")?.remove();
  const fresh = page.querySelector("main > .trouble");
  if (fresh) document.querySelector("main").prepend(document.importNode(fresh, true));
}

function refused(page) {
  const fresh = page.querySelector("[data-live=move]");
  // Whoever went on to another piece meanwhile keeps that; the trouble above tells of the one before.
  if (fresh.elements.piece.value === chosen && !waiting && !hand) {
    form().replaceWith(document.importNode(fresh, true));
    document.querySelector("[data-moving]").textContent = row(chosen).dataset.words;
    const { x, y } = row(chosen).dataset;
    thing(chosen)?.setAttribute("transform", `translate(${x} ${y})`);
  }
  document.querySelector("main > .trouble")?.scrollIntoView({ block: "nearest" });
  (form().querySelector("[aria-invalid]") ?? box).focus({ preventScroll: true });
}

function take(page) {
  const inTray = box.contains(document.activeElement);
  const ahead = waiting || hand ? new Map(["x", "y", "turn", "raised"].map((name) => [name, field(name)?.value])) : new Map();
  for (const old of document.querySelectorAll("[data-live]")) {
    const fresh = page.querySelector(`[data-live=${old.dataset.live}]`);
    // Whoever is typing where a piece is to lie keeps their place in the form.
    const typing = old.dataset.live === "move" && old.contains(document.activeElement);
    if (!fresh || typing) continue;
    if (old.tagName === "DETAILS") fresh.open = old.open;
    old.replaceWith(document.importNode(fresh, true));
  }
  document.querySelectorAll("form [name=on_revision]").forEach((one) => {
    one.value = page.querySelector("[data-move] [name=on_revision]").value;
  });
  const held = chosen;
  chosen = "";
  choose(held, false);
  ahead.forEach((value, name) => { if (field(name)) field(name).value = value; });
  if (ahead.size) show();
  if (inTray) box.focus();
  tell([page.querySelector("[data-live=glance] li:last-child")?.textContent.trim(), nearest(held)].join(". "));
}

function nearest(id) {
  const [distance, to] = ["nearest", "to"].map((name) => row(id)?.querySelector(`.${name}`).textContent);
  return distance ? `${id}: nearest ${distance} to ${to}` : "";
}

function point(event) {
  const svg = box.querySelector("svg");
  const at = svg.createSVGPoint();
  [at.x, at.y] = [event.clientX, event.clientY];
  return at.matrixTransform(svg.getScreenCTM().inverse());
}

const keys = {
  ArrowLeft: (by) => shift(-by, 0), ArrowRight: (by) => shift(by, 0),
  ArrowUp: (by) => shift(0, -by), ArrowDown: (by) => shift(0, by),
  "[": () => turn(-5), "]": () => turn(5),
};

function byLetter(letter) {
  const named = things().map((one) => one.dataset.piece).filter((id) => id.replace(/\d+$/, "") === letter);
  if (!named.length) return false;
  choose(named[(named.indexOf(chosen) + 1) % named.length], true);
  return true;
}

function listen() {
  box.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const act = keys[event.key];
    if (act && chosen) act(event.shiftKey ? 10 : 1);
    else if (act || !/^[a-z]$/i.test(event.key) || !byLetter(event.key.toUpperCase())) return;
    event.preventDefault();
  });
  box.addEventListener("pointerdown", (event) => {
    const group = event.target.closest("[data-piece]");
    if (event.button !== 0 || !group) return;
    choose(group.dataset.piece, true);
    const at = point(event);
    // From where it is drawn: what lies far outside is drawn at the edge.
    const drawn = group.transform.baseVal.getItem(0).matrix;
    hand = { id: event.pointerId, dx: drawn.e - at.x, dy: drawn.f - at.y, moved: false };
    box.setPointerCapture(event.pointerId);
    group.classList.add("held");
    box.focus({ preventScroll: true });
    event.preventDefault();
  });
  box.addEventListener("pointermove", (event) => {
    if (hand?.id !== event.pointerId) return;
    const at = point(event);
    field("x").value = tenth(at.x + hand.dx);
    field("y").value = tenth(at.y + hand.dy);
    hand.moved = true;
    waiting = true;
    show();
  });
  const drop = (event) => {
    if (hand?.id !== event.pointerId) return;
    const { moved } = hand;
    hand = null;
    thing(chosen)?.classList.remove("held");
    if (moved) judge();
  };
  box.addEventListener("pointerup", drop);
  box.addEventListener("pointercancel", drop);
  box.addEventListener("blur", () => { if (waiting) judge(); });
  document.addEventListener("click", (event) => {
    const link = event.target.closest("[data-moves]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    if (!byLetter(link.dataset.letter)) choose(link.dataset.moves, true);
    box.focus();
  });
  document.addEventListener("submit", (event) => {
    if (event.target !== form()) return;
    event.preventDefault();
    judge();
  });
}

box.tabIndex = 0;
box.setAttribute("role", "application");
box.setAttribute("aria-label", "The tray");
box.setAttribute("aria-describedby", "tray-help");
box.classList.add("live");
document.querySelector("[data-help]").hidden = false;
listen();
choose(field("piece")?.value, false);

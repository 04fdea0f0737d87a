// A bench: the scanner always has a field to type into, taps go through the queue, timers run, pages change in
// place. Without the network the last look of every page that was seen or is near stays, and is tapped on.
import { Queue, chance } from "./bench_queue.js";

const AGAIN_MS = 4000;
const PATIENCE_MS = 8000;
const FRESH_MS = 90_000;
const HESITATION_MS = 10_000;
const COMMAND = /^TAP ([A-Z]+)$/;
const NOT_OF_THE_ACT = new Set(["csrf", "key", "act", "go"]);

const pages = new Map();
const bench = () => document.querySelector("[data-bench]");
const scan = () => document.getElementById("scan");
const late = () => AbortSignal.timeout(PATIENCE_MS);

let address = location.pathname + location.search;
let isOnline = true;
let ahead = 0;

const queue = new Queue(bench().dataset.person, post, { now: () => new Date(Date.now() + ahead) });

async function post(taps, signal) {
  const { taps: to, token } = bench().dataset;
  const headers = { "Content-Type": "application/json", "X-CSRF-Token": token };
  const answer = await fetch(to, { method: "POST", headers, body: JSON.stringify({ taps }), signal });
  const told = await answer.json();
  return { status: answer.status, tapped: told.tapped, sentence: told.error?.sentence };
}

/* Pages that change in place */

function keep(page, text) {
  pages.set(page, { text, at: Date.now() });
}

/** A page of the house: what was found, under which address, whether it went well. */
async function fetched(page, options) {
  const answer = await fetch(page, { ...options, signal: late() });
  const to = new URL(answer.url);
  const text = await answer.text();
  const found = new DOMParser().parseFromString(text, "text/html");
  const isBench = found.querySelector("[data-bench]") !== null;
  if (answer.ok && isBench) keep(to.pathname + to.search, text);
  return { found, isBench, isOk: answer.ok, url: answer.url, to: to.pathname + to.search };
}

/** Show what was fetched: in place, or, where it is no page of the bench, as a page of its own. */
function take({ found, isBench, isOk, url, to }) {
  isOnline = true;
  if (!isOk) {
    const told = found.querySelector(".trouble li, .sentence, main p")?.textContent.trim();
    said(told || "This was not done.", "stop");
  } else if (isBench) show(found, to, { isNew: true });
  else location.assign(url);
}

function show(found, to, { isNew = false } = {}) {
  // Half a code may stand there: a scanner does not wait for a page.
  const typed = scan()?.value ?? "";
  const open = [...document.querySelectorAll("main details[open][id]")].map((one) => one.id);
  document.querySelector("main").replaceWith(document.adoptNode(found.querySelector("main")));
  document.title = found.title;
  if (typed && scan()) scan().value = typed;
  if (isNew && to !== address) history.pushState(null, "", to);
  if (to === address) for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  else scrollTo(0, 0);
  address = to;
  arrange();
}

/** Go to a page; without the network to how it looked last. */
async function go(page) {
  const { pathname, search } = new URL(page, location.href);
  try {
    take(await fetched(pathname + search));
  } catch {
    isOnline = false;
    const kept = pages.get(pathname + search);
    if (kept) show(new DOMParser().parseFromString(kept.text, "text/html"), pathname + search, { isNew: true });
    else said("The house cannot be reached, and this page was not near. What is tapped is kept.", "concern");
    tellQueue();
  }
}

/** Look at the page anew, unless somebody is typing or went on. */
async function refresh() {
  const here = address;
  try {
    const { found, isOk, isBench, to } = await fetched(here);
    if (isOk && isBench && here === address && !queue.waiting.length && !isTypedIn()) show(found, to);
  } catch {
    isOnline = false;
    tellQueue();
  }
}

/** Keep what is one step away, so that it can be tapped on without the network. */
async function keepNear() {
  for (const link of document.querySelectorAll("a[data-near]")) {
    const page = new URL(link.href).pathname;
    if (!isOnline || Date.now() - (pages.get(page)?.at ?? 0) < FRESH_MS) continue;
    await fetched(page).catch(() => null);
  }
}

/* Taps */

/** What a press sends: one act, or several; the form's own fields go into the last. */
function actsOf(form) {
  const acts = [JSON.parse(form.elements.act.value)].flat();
  const last = acts.at(-1);
  for (const [name, value] of new FormData(form)) {
    if (NOT_OF_THE_ACT.has(name) || value === "") continue;
    const [whole, part] = name.replace(/\[\]$/, "").split(".");
    if (part) last[whole] = { ...last[whole], [part]: value };
    else if (name.endsWith("[]")) last[whole] = [...(last[whole] ?? []), value];
    else last[whole] = value;
  }
  return acts;
}

function tap(form) {
  if (!form.reportValidity()) return;
  const words = { text: form.dataset.words, form: form.id, page: address };
  const taps = actsOf(form).map((act) => queue.add(act, words));
  done(form, new Date(taps[0].at));
  // What was typed is sent: the scanner has its field again, and the page may change.
  home();
  tellQueue();
  sendAndLook(form.dataset.go);
}

let sending = Promise.resolve();

/** Send what waits; in its turn, if something is being sent. */
function send() {
  sending = sending.then(async () => {
    const outcome = queue.waiting.length ? await queue.drain().catch(() => "trouble") : await reached();
    isOnline = outcome !== "offline";
    tellQueue(outcome);
    return outcome;
  });
  return sending;
}

/** Whether the house can be reached, where that was in doubt. */
async function reached() {
  if (isOnline) return "sent";
  const answer = await fetch("/health/live", { signal: late() }).catch(() => null);
  return answer?.ok ? "sent" : "offline";
}

/** Send what waits, and then look at what came of it. */
async function sendAndLook(then) {
  if ((await send()) === "sent") await (then ? go(then) : refresh());
}

/** What a tap does to the page at once, before the house has answered. */
function done(form, at) {
  const { effect, begins } = form.dataset;
  const task = form.closest("[data-task]");
  if (effect === "task") leave(task);
  if (effect === "station") for (const one of document.querySelectorAll("[data-task]")) leave(one);
  if (effect === "begin") {
    task.dataset.ready = new Date(at.getTime() + 1000 * Number(begins)).toISOString();
    form.hidden = true;
    for (const other of task.querySelectorAll("[data-after-begin]")) other.hidden = false;
  }
  form.classList.add("kept");
  if (effect !== "begin") for (const button of form.querySelectorAll("button")) button.disabled = true;
}

function leave(task) {
  if (!task || task.classList.contains("done")) return;
  const wasNow = task.classList.contains("now");
  task.classList.remove("now", "next");
  task.classList.add("done");
  const left = [...document.querySelectorAll("[data-task]:not(.done)")];
  left.forEach((one, at) => {
    one.classList.toggle("now", wasNow ? at === 0 : one.classList.contains("now"));
    one.classList.toggle("next", at === 1 || at === 2);
  });
  document.querySelector("[data-all-done]")?.toggleAttribute("hidden", left.length > 0);
}

/** What waits still counts on a page as the house last knew it. */
function layWaitingOver() {
  for (const { tap: one, words } of queue.waiting) {
    const form = words.form && words.page === address && document.getElementById(words.form);
    if (form) done(form, new Date(one.at));
  }
}

/* What is told */

function said(sentence, level = "note") {
  const place = document.querySelector("[data-said]");
  place.textContent = sentence;
  place.className = `bench-said ${level}`;
  place.hidden = false;
}

function tellQueue(outcome = "") {
  const place = document.querySelector("[data-queue]");
  const waiting = queue.waiting.length;
  const taps = (count) => (count === 1 ? "1 tap" : `${count} taps`);
  const others = queue.others.reduce((sum, one) => sum + one, 0);
  const sentences = [
    waiting && isOnline && outcome !== "door" && outcome !== "trouble" ? `${taps(waiting)} on the way.` : "",
    waiting && !isOnline ? `The house cannot be reached. ${taps(waiting)} kept here, to be sent in order.` : "",
    !waiting && !isOnline ? "The house cannot be reached. Go on: what is tapped is kept here." : "",
    waiting && outcome === "door" ? `Sign in again: ${taps(waiting)} of yours wait here.` : "",
    waiting && outcome === "trouble" ? `The house is in trouble. ${taps(waiting)} kept here.` : "",
    others ? `${taps(others)} of somebody else wait here until they sign in on this tablet.` : "",
    queue.outlivesThePage ? "" : "This browser keeps nothing: do not close the page while taps wait.",
  ].filter(Boolean);
  place.querySelector("[data-waiting]").textContent = sentences.join(" ");
  place.classList.toggle("away", !isOnline || outcome === "door" || outcome === "trouble");
  tellRefused(place.querySelector("[data-refused]"));
  place.hidden = sentences.length === 0 && queue.refused.length === 0;
}

function tellRefused(place) {
  const refused = queue.refused;
  place.hidden = refused.length === 0;
  place.querySelector("ul").replaceChildren(
    ...refused.map((one) => {
      const line = document.createElement("li");
      const at = new Date(one.at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
      line.textContent = `${at}, ${one.words.text}: ${one.said}`;
      return line;
    }),
  );
}

/* Timers and counters */

const clock = (seconds) => `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;

function tick() {
  for (const one of document.querySelectorAll("[data-ready]")) {
    if (!one.dataset.ready) continue;
    const left = Math.ceil((Date.parse(one.dataset.ready) - Date.now() - ahead) / 1000);
    const face = one.querySelector("[data-left]");
    if (face) face.textContent = left > 0 ? clock(left) : "0:00";
    const ran = one.classList.contains("runs");
    one.classList.toggle("runs", left > 0);
    one.classList.toggle("over", left <= 0);
    for (const form of one.querySelectorAll("[data-when-over]:not(.kept)"))
      for (const button of form.querySelectorAll("button")) button.disabled = left > 0;
    if (left <= 0 && ran && one.dataset.name) said(`Time is over: ${one.dataset.name}.`);
  }
}

/** Times that something is done: counted here, told with the tap once all are done. */
function count(button) {
  const place = button.closest("[data-times]");
  const wanted = Number(place.dataset.times);
  const counted = Math.min(Number(place.dataset.counted ?? 0) + 1, wanted);
  place.dataset.counted = counted;
  place.querySelector("[data-count]").textContent = String(counted);
  const form = place.closest("form");
  form.querySelector("[data-when-counted]").disabled = counted < wanted;
  button.disabled = counted >= wanted;
  if (counted >= wanted) form.requestSubmit(form.querySelector("[data-when-counted]"));
}

/* The scanner */

const isTypedIn = () => {
  const at = document.activeElement;
  return at !== scan() && at?.matches("input, textarea, select") && at.closest("main") !== null;
};

let looking = Promise.resolve();
let missedAt = 0;

/** Codes are taken one after the other: what presses a button waits for the set that was scanned before it. */
function scanned(code) {
  const command = COMMAND.exec(code.toUpperCase());
  looking = looking.then(async () => {
    if (command) {
      // Whoever scanned a set that did not open means that one, and not what still stands on the page.
      const isMissed = Date.now() - missedAt < HESITATION_MS;
      if (isMissed) said(`${command[1]} was not taken, as no set was opened. Scan the set again.`, "stop");
      else pressed(command[1]);
      return;
    }
    // What was tapped before goes first: a scan means something by how the set stands then.
    await send();
    missedAt = (await find(document.querySelector("[data-scan]"), code)) ? 0 : Date.now();
  });
  return looking;
}

function pressed(name) {
  const buttons = [...document.querySelectorAll(`[data-command="${name}"]`)];
  const button = buttons.find((one) => one.checkVisibility() && !one.disabled);
  if (button) return button.click();
  const why = buttons.some((one) => one.disabled) ? "the time is not over, or it is done" : "nothing here takes it";
  return said(`The code ${name} was read, but ${why}.`, "concern");
}

/** Ask the house what a code is; without it the code is kept as scanned here, and the page known for it shown. */
async function find(form, code) {
  const body = new URLSearchParams(new FormData(form));
  body.set("code", code);
  body.set("key", chance());
  try {
    const answer = await fetched(new URL(form.action).pathname, { method: "POST", body });
    take(answer);
    return answer.isOk;
  } catch {
    isOnline = false;
    const known = document.querySelector(`a[data-code="${CSS.escape(code)}"]`);
    if (form.dataset.arrive) queue.add({ ...JSON.parse(form.dataset.arrive), code }, { text: `scanned ${code}` });
    if (known) await go(known.href);
    else said(`${code} is kept as scanned; it is shown once the house is reached.`);
    tellQueue();
    return known !== null;
  }
}

/* Listening */

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.matches("[data-scan]")) {
    event.preventDefault();
    const code = scan().value.trim();
    scan().value = "";
    if (code) scanned(code);
  } else if (form.matches("[data-tap]")) {
    event.preventDefault();
    tap(form);
  }
});

document.addEventListener("click", (event) => {
  const counter = event.target.closest("[data-counts]");
  if (counter) return count(counter);
  if (event.target.closest("[data-seen]")) {
    queue.dismiss();
    return tellQueue();
  }
  const link = event.target.closest("main a[data-near]");
  if (link && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
    event.preventDefault();
    go(link.href);
  }
  return undefined;
});

// A scanner types wherever the keyboard is; a sign that belongs to no field goes to the scanner's.
document.addEventListener("keydown", (event) => {
  const at = document.activeElement;
  const isTaken = at?.matches("input, textarea, select") || event.ctrlKey || event.metaKey || event.altKey;
  const isOnButton = at?.matches("button, a, summary") && (event.key === "Enter" || event.key === " ");
  if (!isTaken && !isOnButton && event.key.length === 1) scan()?.focus();
});
document.addEventListener("focusout", () => setTimeout(() => document.activeElement === document.body && home(), 60));
addEventListener("popstate", () => go(location.pathname + location.search));
addEventListener("online", () => sendAndLook());
addEventListener("offline", () => {
  isOnline = false;
  tellQueue();
});

const home = () => scan()?.focus({ preventScroll: true });

/** What every new look of the page needs. */
function arrange() {
  const told = bench().dataset;
  if (told.at !== arrange.at) {
    arrange.at = told.at;
    // A page out of the memory tells an old time; only a new one sets the clock right.
    const offset = Date.parse(told.at) - Date.now();
    if (isOnline) ahead = offset;
  }
  for (const one of document.querySelectorAll("[data-by-script]")) one.hidden = false;
  for (const one of document.querySelectorAll("[data-without-script]")) one.hidden = true;
  for (const one of document.querySelectorAll("[data-when-counted]")) one.disabled = true;
  if (!isTypedIn()) home();
  layWaitingOver();
  tick();
  tellQueue();
  setTimeout(keepNear, 500);
}

setInterval(tick, 1000);
setInterval(() => {
  if (queue.waiting.length || !isOnline) sendAndLook();
}, AGAIN_MS);

keep(address, document.documentElement.outerHTML);
arrange();
if (queue.waiting.length) sendAndLook();

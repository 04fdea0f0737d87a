// Each mark and each note goes to the house at once, without a new page; what it answers says what was kept.
const outcome = document.querySelector("[data-outcome]");
const levels = document.querySelector("[data-levels]");
let asking = Promise.resolve();

async function send(form, mark) {
  const sent = new URLSearchParams(new FormData(form));
  if (mark) sent.set("mark", mark);
  const answer = await fetch(form.action, { method: "POST", body: sent, keepalive: true });
  const kept = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (!answer.ok || !kept.querySelector("[data-outcome]")) {
    // What was refused is shown as the house words it.
    const place = [...document.querySelectorAll("[data-point]")].indexOf(form);
    document.querySelector("main").replaceWith(kept.querySelector("main"));
    document.querySelectorAll("[data-point]")[place]?.scrollIntoView();
    return;
  }
  show(form, kept);
}

function show(form, kept) {
  const id = form.elements.criterion.value;
  const said = [...kept.querySelectorAll("[data-point]")].find((one) => one.elements.criterion.value === id);
  for (const button of form.querySelectorAll("button.mark")) {
    const same = [...said.querySelectorAll("button.mark")].find((one) => one.value === button.value);
    button.setAttribute("aria-pressed", same.getAttribute("aria-pressed"));
  }
  outcome.innerHTML = kept.querySelector("[data-outcome]").innerHTML;
  // A level that was chosen stays chosen while it may still be given.
  const chosen = levels.querySelector("input:checked")?.value;
  levels.innerHTML = kept.querySelector("[data-levels]").innerHTML;
  const again = [...levels.querySelectorAll("input")].find((one) => one.value === chosen);
  if (again) again.checked = true;
}

document.addEventListener("submit", (event) => {
  const form = event.target.closest("[data-point]");
  if (!form || !event.submitter) return;
  event.preventDefault();
  const mark = event.submitter.value;
  asking = asking.then(() => send(form, mark)).catch(() => form.submit());
});

document.addEventListener("change", (event) => {
  const form = event.target.closest("[data-point]");
  if (!form || event.target.name !== "note") return;
  asking = asking.then(() => send(form, "")).catch(() => form.submit());
});

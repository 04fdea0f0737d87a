// Asks every ten seconds whether something else is missing by now; the page is shown anew where it is.
const shown = document.querySelector("[data-alarms]");
const EVERY_MS = 10_000;

async function look() {
  try {
    const answer = await fetch(`/api${location.pathname}`, { headers: { accept: "application/json" } });
    if (answer.ok) {
      const told = (await answer.json()).alarms.map((one) => `${one.id} `).join("");
      // Whoever is typing is not interrupted by what is answered elsewhere, only by what is new.
      const fresh = told.split(" ").some((id) => id && !shown.dataset.alarms.includes(id));
      const typing = document.activeElement?.matches("input");
      if (fresh || (told !== shown.dataset.alarms && !typing)) location.reload();
    }
  } catch {
    // The network is away: the next look asks again.
  }
  setTimeout(look, EVERY_MS);
}

setTimeout(look, EVERY_MS);

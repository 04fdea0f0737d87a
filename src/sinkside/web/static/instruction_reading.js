// Shows how far the reading is, and opens the instruction once it is read.
const box = document.querySelector("[data-reading]");

async function look() {
  const answer = await fetch(box.dataset.reading, { headers: { Accept: "application/json" } });
  if (!answer.ok) return location.reload();
  const reading = await answer.json();
  if (reading.leads_to) return location.replace(reading.leads_to);
  if (!reading.going) return location.reload();
  box.querySelector("[data-doing]").textContent = reading.doing || "Waits for its turn";
  const bar = box.querySelector("progress");
  if (reading.total) {
    bar.max = reading.total;
    bar.value = reading.done;
  }
  setTimeout(look, 500);
}

if (box) setTimeout(look, 300);

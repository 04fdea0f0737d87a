// Shows how far a job is, without loading the page anew; loads it once the job is over.
const box = document.querySelector("[data-job][data-going]");

async function look() {
  const answer = await fetch(box.dataset.job, { headers: { Accept: "application/json" } });
  if (!answer.ok) return location.reload();
  const job = await answer.json();
  if (!job.going) return location.reload();
  const words = job.words.charAt(0).toUpperCase() + job.words.slice(1);
  box.querySelector("[data-words]").textContent = words;
  box.querySelector("[data-doing]").textContent = job.doing ? `: ${job.doing}` : "";
  const bar = box.querySelector("progress");
  if (job.total) {
    bar.max = job.total;
    bar.value = job.done;
    box.querySelector("[data-count]").textContent = `${job.done} of ${job.total}`;
  }
  setTimeout(look, 1000);
}

if (box) setTimeout(look, 500);

// Files can be dropped on the field; it says how many are chosen.
const zone = document.querySelector("[data-drop]");
const field = zone?.querySelector("input[type=file]");

function tell() {
  const files = [...field.files];
  const size = files.reduce((sum, file) => sum + file.size, 0) / 1e6;
  const what = files.length === 1 ? files[0].name : `${files.length} files`;
  zone.querySelector("[data-chosen]").textContent = files.length ? `${what}, ${size.toFixed(1)} MB` : "";
}

if (field) {
  field.addEventListener("change", tell);
  for (const kind of ["dragover", "dragleave", "drop"]) {
    zone.addEventListener(kind, (event) => {
      event.preventDefault();
      zone.classList.toggle("over", kind === "dragover");
      if (kind === "drop" && event.dataTransfer.files.length) {
        field.files = event.dataTransfer.files;
        tell();
      }
    });
  }
}

// A document can be dropped on the field; the name of what is chosen is said.
for (const zone of document.querySelectorAll("[data-drop]")) {
  const field = zone.querySelector("input[type=file]");
  const tell = () => {
    const file = field.files[0];
    zone.querySelector("[data-chosen]").textContent = file ? `${file.name}, ${Math.ceil(file.size / 1000)} kB` : "";
  };
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

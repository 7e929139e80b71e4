// A file dropped on a form with data-drop goes into its file input; the form says its name.

for (const form of document.querySelectorAll("form[data-drop]")) {
  const input = form.querySelector('input[type="file"]');
  const name = form.querySelector("[data-file-name]");
  if (!input) continue;

  form.addEventListener("dragover", (event) => {
    if (!event.dataTransfer.types.includes("Files")) return;
    event.preventDefault();
    form.dataset.over = "";
  });
  form.addEventListener("dragleave", (event) => {
    if (!form.contains(event.relatedTarget)) delete form.dataset.over;
  });
  form.addEventListener("drop", (event) => {
    event.preventDefault();
    delete form.dataset.over;
    if (event.dataTransfer.files.length === 0) return;
    input.files = event.dataTransfer.files;
    input.dispatchEvent(new Event("change", { bubbles: true }));
  });
  input.addEventListener("change", () => {
    const { files } = input;
    if (name) name.textContent = files.length ? `${files[0].name}, ${Math.ceil(files[0].size / 1024)} kB` : "";
    if (files.length && "submit" in form.dataset) form.requestSubmit();
  });
}

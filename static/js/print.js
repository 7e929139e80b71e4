// A button with data-print prints; without scripts it is not there, and the browser's own command does.

for (const button of document.querySelectorAll("[data-print]")) button.hidden = false;

document.addEventListener("click", (event) => {
  if (event.target.closest?.("[data-print]")) window.print();
});

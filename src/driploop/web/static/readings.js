// A worksheet opened under its row takes the place of one that is open there already; closing it takes it away.

const isRow = (element) => element instanceof HTMLTableRowElement;

document.addEventListener("htmx:beforeSwap", (event) => {
  const row = event.detail.target;
  if (isRow(row) && row.nextElementSibling?.classList.contains("opened")) row.nextElementSibling.remove();
});

document.addEventListener("toggle", (event) => {
  const opened = event.target.closest?.("tr.opened");
  if (!opened || event.target.open) return;
  const back = opened.previousElementSibling?.querySelector("a");
  opened.remove();
  back?.focus();
}, true);

// The cursor goes to the line that was asked for, also where something else had it.
const toLine = () => document.querySelector("[data-cursor]")?.focus();
document.addEventListener("htmx:afterSettle", toLine);
toLine();

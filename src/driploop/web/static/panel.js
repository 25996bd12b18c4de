// A circuit may be dragged to a space; the page's own form says which, and the program says whether.

const form = document.getElementById("move-form");
let dragged = "";

document.addEventListener("dragstart", (event) => {
  const circuit = event.target.closest?.("[data-circuit]");
  if (!circuit || !form) return;
  dragged = circuit.dataset.circuit;
  event.dataTransfer.effectAllowed = "move";
  event.dataTransfer.setData("text/plain", dragged);
});
document.addEventListener("dragend", () => { dragged = ""; });

for (const cell of document.querySelectorAll("[data-space]")) {
  cell.addEventListener("dragover", (event) => {
    if (!dragged) return;
    event.preventDefault();
    cell.classList.add("over");
  });
  cell.addEventListener("dragleave", () => cell.classList.remove("over"));
  cell.addEventListener("drop", (event) => {
    cell.classList.remove("over");
    if (!dragged) return;
    event.preventDefault();
    const lower = cell.rowSpan > 1 && event.offsetY > cell.clientHeight / 2 ? 2 : 0;
    send(dragged, Number(cell.dataset.space) + lower);
  });
}

function send(circuit, space) {
  form.elements.circuit.value = circuit;
  let field = form.querySelector("input[name=space]");
  if (!field) {
    field = document.createElement("input");
    field.type = "hidden";
    field.name = "space";
    form.append(field);
  }
  field.value = String(space);
  form.requestSubmit();
}

// What the pages do by themselves: mark refused fields, mind links into a form.

document.documentElement.classList.add("script");

const isField = (element) => element instanceof HTMLFormElement && element.classList.contains("field");
const inputsOf = (form) => [...form.querySelectorAll("[name=value]")];

// "none" and "not known" exclude every other tick.
document.addEventListener("change", (event) => {
  const input = event.target;
  if (!(input instanceof HTMLInputElement) || input.type !== "checkbox" || !input.checked) return;
  for (const other of inputsOf(input.form)) {
    if (other !== input && (input.value === "none" || other.value === "none")) other.checked = false;
  }
}, true);

document.addEventListener("htmx:afterSettle", () => {
  for (const form of document.querySelectorAll("form.field")) {
    const refused = form.querySelector(".state[data-refused], .state[data-asks]") !== null;
    inputsOf(form).forEach((input) => refused ? input.setAttribute("aria-invalid", "true") : input.removeAttribute("aria-invalid"));
  }
});

// A link to a field opens what hides it and puts the cursor there.
function goToField() {
  const form = location.hash.startsWith("#f-") && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (!isField(form)) return;
  form.closest("details")?.setAttribute("open", "");
  form.scrollIntoView({ block: "center" });
  inputsOf(form)[0]?.focus({ preventScroll: true });
}

document.querySelector(".screens [aria-current]")?.scrollIntoView({ block: "nearest", inline: "center" });
const strip = document.querySelector(".states");
if (strip) strip.scrollLeft = (strip.querySelector(".selected")?.offsetLeft ?? 0) - strip.offsetLeft;
window.addEventListener("hashchange", goToField);
goToField();
// The browser goes to the place itself when all is loaded, and takes the cursor out of the field again.
window.addEventListener("load", () => setTimeout(goToField));

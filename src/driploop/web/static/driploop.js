// What the pages do by themselves: keep what was typed while the line is down, mark refused fields, mind links into a form.

const PREFIX = "driploop:";
const AGAIN_MS = 5000;
const line = document.getElementById("line");

document.documentElement.classList.add("script");

const isField = (element) => element instanceof HTMLFormElement && element.classList.contains("field");
const keyOf = (form) => `${PREFIX}${form.getAttribute("action")}:${form.elements.path.value}`;
const inputsOf = (form) => [...form.querySelectorAll("[name=value]")];
const isTap = (input) => input.type === "radio" || input.type === "checkbox";
const isWaiting = (form) => localStorage.getItem(keyOf(form)) !== null;

function keep(form) {
  const typed = { values: new FormData(form).getAll("value"), seen: form.elements.seen.value };
  localStorage.setItem(keyOf(form), JSON.stringify(typed));
  say(form, "Not saved yet: no connection. It is kept here and sent again by itself.");
  tellLine();
}

function say(form, words) {
  const state = form.querySelector(".state");
  state.querySelectorAll("p").forEach((old) => old.remove());
  const told = document.createElement("p");
  told.className = "kept";
  told.textContent = words;
  state.append(told);
}

function tellLine() {
  const waiting = [...document.querySelectorAll("form.field")].filter(isWaiting).length;
  line.hidden = waiting === 0;
  line.textContent = waiting ? `No connection. ${waiting} ${waiting === 1 ? "answer is" : "answers are"} kept on this device.` : "";
}

function putBack(form) {
  const kept = localStorage.getItem(keyOf(form));
  if (kept === null) return;
  const { values, seen } = JSON.parse(kept);
  for (const input of inputsOf(form)) {
    if (isTap(input)) input.checked = values.includes(input.value);
    else input.value = values[0] ?? "";
  }
  form.elements.seen.value = seen;
}

function sendWaiting() {
  for (const form of document.querySelectorAll("form.field")) {
    if (isWaiting(form)) window.htmx.trigger(form, "change");
  }
}

// "none" and "not known" exclude every other tick.
document.addEventListener("change", (event) => {
  const input = event.target;
  if (!(input instanceof HTMLInputElement) || input.type !== "checkbox" || !input.checked) return;
  for (const other of inputsOf(input.form)) {
    if (other !== input && (input.value === "none" || other.value === "none")) other.checked = false;
  }
}, true);

document.addEventListener("htmx:sendError", (event) => {
  if (isField(event.detail.elt)) keep(event.detail.elt);
});
document.addEventListener("htmx:responseError", (event) => {
  if (!isField(event.detail.elt)) return;
  localStorage.removeItem(keyOf(event.detail.elt));
  say(event.detail.elt, "Not saved: the program refused it. Load the page again; what you typed still stands here.");
  tellLine();
});
document.addEventListener("htmx:afterRequest", (event) => {
  const form = event.detail.elt;
  if (!isField(form) || event.detail.failed && event.detail.xhr.status === 0) return;
  localStorage.removeItem(keyOf(form));
  tellLine();
});
document.addEventListener("htmx:afterSettle", () => {
  for (const form of document.querySelectorAll("form.field")) {
    const refused = form.querySelector(".state[data-refused], .state[data-asks]") !== null;
    inputsOf(form).forEach((input) => refused ? input.setAttribute("aria-invalid", "true") : input.removeAttribute("aria-invalid"));
  }
});
window.addEventListener("online", sendWaiting);
setInterval(sendWaiting, AGAIN_MS);

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
document.querySelectorAll("form.field").forEach(putBack);
window.addEventListener("hashchange", goToField);
goToField();
tellLine();
sendWaiting();

// Nothing typed is lost: every answer waits here, on this device, until the program has said that it stands.
// Answers go out one after the other in the order in which they were given, each with what the form showed, so that
// what somebody else changed in between is asked about and not run over.

const QUEUE = "driploop:unsent";
const DRAFT = "driploop:draft:";
const AGAIN_MS = 5000;
const ABANDONED_MS = 15000;
const PATIENCE_MS = 20000;
const TAB = Math.random().toString(36).slice(2);
const line = document.getElementById("line");
const me = document.body.dataset.person ?? "";
const token = JSON.parse(document.body.getAttribute("hx-headers") ?? "{}");
const mine = new Set();
let memory = {};
let sending = false;
let trouble = "";

const isField = (element) => element instanceof HTMLFormElement && element.classList.contains("field");
const isTap = (input) => input.type === "radio" || input.type === "checkbox";
const inputsOf = (form) => [...form.querySelectorAll("[name=value]")];
const valuesOf = (form) => new FormData(form).getAll("value");
const formOf = (path) => document.getElementById(`f-${path.replaceAll(".", "-")}`);
const isOf = (entry, form) => entry.action === form.getAttribute("action") && entry.path === form.elements.path.value;
const draftOf = (form) => `${DRAFT}${me}:${form.getAttribute("action")}:${form.elements.path.value}`;

// A browser that keeps nothing for pages still holds it as long as the page is open.
function held(key) {
  try { return localStorage.getItem(key); } catch { return memory[key] ?? null; }
}
function hold(key, value) {
  try {
    if (value === null) localStorage.removeItem(key);
    else localStorage.setItem(key, value);
  } catch { memory[key] = value; }
}
function queue() {
  try { return JSON.parse(held(QUEUE) ?? "[]"); } catch { return []; }
}
function setQueue(entries) { hold(QUEUE, entries.length ? JSON.stringify(entries) : null); }
function change(id, changed) { setQueue(queue().map((entry) => entry.id === id ? { ...entry, ...changed } : entry)); }
function drop(id) { setQueue(queue().filter((entry) => entry.id !== id)); }
function entriesOf(form) { return queue().filter((entry) => entry.person === me && isOf(entry, form)); }
const isHere = (entry) => { const form = formOf(entry.path); return isField(form) && isOf(entry, form); };

function labelOf(form) {
  const named = form.querySelector("legend, label");
  const thing = document.querySelector("main h1")?.textContent.trim() ?? "";
  return `${thing}: ${named?.firstChild?.textContent.trim() ?? ""}`;
}

function put(form) {
  const now = { values: valuesOf(form), seen: form.elements.seen.value };
  const entries = queue();
  const last = entries.findLast((entry) => entry.person === me && isOf(entry, form));
  hold(draftOf(form), null);
  if (last && last.state !== "waiting") {
    setQueue([...entries.filter((entry) => entry.id !== last.id), fresh(form, now)]);
  } else if (last && !last.tries) {
    change(last.id, { values: now.values });
  } else {
    // What became of the one before is not known yet: this one follows it.
    setQueue([...entries, fresh(form, last ? { ...now, seen: last.seen } : now)]);
  }
  send();
}

function fresh(form, { values, seen }) {
  return {
    id: `${Date.now()}-${Math.random().toString(36).slice(2)}`, action: form.getAttribute("action"),
    path: form.elements.path.value, values, seen, label: labelOf(form), page: location.pathname, person: me,
    tab: TAB, at: Date.now(), state: "waiting", words: "", tries: 0,
  };
}

function next() {
  const due = (entry) => entry.tab === TAB || Date.now() - entry.at > ABANDONED_MS;
  return queue().find((entry) => entry.state === "waiting" && entry.person === me && due(entry));
}

async function send() {
  if (sending) return;
  sending = true;
  try {
    for (let entry = next(); entry; entry = next()) {
      if (!(await sendOne(entry))) break;
    }
  } finally {
    sending = false;
    tell();
  }
}

// Whether to go on with the next one.
async function sendOne(entry) {
  change(entry.id, { tries: entry.tries + 1 });
  const form = new URLSearchParams({ path: entry.path, seen: entry.seen });
  entry.values.forEach((value) => form.append("value", value));
  let answer, html;
  try {
    answer = await fetch(entry.action, {
      method: "POST", body: form, headers: { ...token, "HX-Request": "true" }, keepalive: true, redirect: "manual",
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    html = await answer.text();
  } catch {
    return stop("No connection.");
  }
  const status = answer.status;
  if (status === 401) return stop("You are not signed in any more.", "/sign-in?back=" + encodeURIComponent(location.pathname), "Sign in");
  if (status === 403 && answer.headers.get("X-Driploop-Why") === "token") {
    return stop("This page is too old to save from.", location.href, "Load it anew");
  }
  if ([0, 429, 502, 503, 504].includes(status)) return stop("The program does not answer just now.");
  trouble = "";
  if (status === 200) {
    drop(entry.id);
    mine.add(entry.path);
    setSeen(entry, html);
  } else {
    const words = { 403: "you may look at the jobs, not change them", 404: "the thing or the job is not there any more",
                    409: "somebody changed the same thing", 422: "it was not taken" }[status] ?? "the program could not save it";
    change(entry.id, { state: status === 409 ? "asks" : "refused", words });
  }
  if (isHere(entry)) show(formOf(entry.path), status, html);
  return true;
}

// A later answer to the same question was given on top of this one.
function setSeen(entry, html) {
  const found = new DOMParser().parseFromString(html, "text/html").querySelector("[name=seen]");
  if (!found) return;
  setQueue(queue().map((each) => each.action === entry.action && each.path === entry.path && each.person === me
    ? { ...each, seen: found.value } : each));
}

function stop(words, address = "", link = "") {
  trouble = { words, address, link };
  for (const entry of queue()) {
    if (entry.state === "waiting" && isHere(entry)) say(formOf(entry.path), "Not saved yet. It is kept on this device and sent by itself.", "kept");
  }
  return false;
}

function show(form, status, html) {
  if ([200, 409, 422].includes(status) && html.includes('class="state"')) {
    window.htmx.swap(form.querySelector(".state"), html, { swapStyle: "outerHTML", swapDelay: 0, settleDelay: 0 });
  } else {
    say(form, "Not saved. What you typed still stands here.", "wrong");
  }
}

function say(form, words, kind, button = "") {
  const state = form.querySelector(".state");
  state.querySelectorAll("p, button").forEach((old) => old.remove());
  const told = document.createElement("p");
  told.className = kind;
  told.textContent = words;
  state.append(told);
  if (button) state.append(made("button", button, { className: "plain" }));
}

function made(tag, words, rest = {}) {
  return Object.assign(document.createElement(tag), { textContent: words, ...rest });
}

// The line at the foot of the page: what waits, why, and what was not taken elsewhere.
function tell() {
  const entries = queue();
  const waiting = entries.filter((entry) => entry.state === "waiting" && entry.person === me);
  const stuck = entries.filter((entry) => entry.state !== "waiting" && entry.person === me && !isHere(entry));
  const others = entries.filter((entry) => entry.person !== me);
  const told = [];
  if (waiting.length && trouble) {
    const count = waiting.length === 1 ? "1 answer is" : `${waiting.length} answers are`;
    const words = made("p", `${trouble.words} ${count} kept on this device and sent by themselves. `);
    if (waiting.length === 1) words.textContent = words.textContent.replace("by themselves", "by itself");
    if (trouble.link) words.append(made("a", trouble.link, { href: trouble.address }));
    told.push(words);
  }
  for (const entry of stuck) {
    const words = made("p", `Not saved, ${entry.words}: ${entry.label}, you typed “${entry.values.join(", ")}”. `);
    words.append(made("a", "Go there", { href: `${entry.page}#f-${entry.path.replaceAll(".", "-")}` }), " ");
    words.append(made("button", "Forget it", { type: "button", className: "plain", onclick: () => { drop(entry.id); tell(); } }));
    told.push(words);
  }
  if (others.length) told.push(made("p", `${others.length} unsent of somebody else who used this device: kept until they sign in.`));
  line.replaceChildren(...told);
  line.hidden = told.length === 0;
  document.body.classList.toggle("told", told.length > 0);
}

function fill(form, { values, seen }) {
  for (const input of inputsOf(form)) {
    if (isTap(input)) input.checked = values.includes(input.value);
    else input.value = values[0] ?? "";
  }
  if (seen !== undefined) form.elements.seen.value = seen;
}

function putBack(form) {
  const entry = entriesOf(form).at(-1);
  if (entry) {
    fill(form, entry);
    if (entry.state === "asks") change(entry.id, { state: "waiting", tab: TAB });
    else if (entry.state === "refused") say(form, `Not saved: ${entry.words}. This is what you typed.`, "wrong", "Try again");
    else say(form, "Not saved yet. It is kept on this device and sent by itself.", "kept");
    return;
  }
  const draft = JSON.parse(held(draftOf(form)) ?? "null");
  if (!draft) return;
  if (JSON.stringify(draft.values) === JSON.stringify(valuesOf(form))) {
    hold(draftOf(form), null);
    return;
  }
  fill(form, draft);
  form.closest("details")?.setAttribute("open", "");
  say(form, "You typed this before and did not save it.", "kept", "Save it");
}

// What others changed: the fields on this page that nobody is at show it, the others say it when they are saved.
const shown = new Set();
function showOthers() {
  const told = document.getElementById("others");
  for (const item of told?.querySelectorAll("li") ?? []) {
    const { path, who } = item.dataset;
    if ("mine" in item.dataset && mine.has(path)) { item.remove(); continue; }
    const key = `${path} ${item.querySelector("time").dateTime}`;
    const form = formOf(path);
    if (!isField(form) || shown.has(key)) continue;
    shown.add(key);
    const words = `Changed by ${who} a moment ago.`;
    if (form.contains(document.activeElement) || entriesOf(form).length || held(draftOf(form))) {
      say(form, `${words} When you save yours, you are asked.`, "asks");
      continue;
    }
    const address = `${form.getAttribute("action")}?path=${encodeURIComponent(path)}`;
    window.htmx.ajax("GET", address, { target: form, swap: "outerHTML" }).then(() => {
      const changed = formOf(path);
      if (changed) say(changed, words, "theirs");
    });
  }
  if (told && !told.querySelector("li")) told.querySelectorAll("ul, p:has(a)").forEach((each) => each.remove());
}

function tellTimes() {
  for (const time of document.querySelectorAll("#others time")) {
    const at = new Date(time.dateTime);
    if (Date.now() - at > 90000) time.textContent = `at ${at.toTimeString().slice(0, 5)}`;
  }
}

// Who may only look finds the forms closed instead of being refused.
function closeForms() {
  if (document.body.dataset.role !== "view") return;
  for (const form of document.querySelectorAll("form[method=post]:not(.own)")) {
    for (const control of form.elements) control.disabled = true;
  }
}

document.addEventListener("htmx:beforeRequest", (event) => {
  const { elt, requestConfig } = event.detail;
  if (isField(elt) && requestConfig.verb === "post") {
    event.preventDefault();
    put(elt);
  } else if (requestConfig.verb === "get" && isField(elt.closest?.("form")) && elt.matches("button")) {
    entriesOf(elt.closest("form")).forEach((entry) => drop(entry.id));
    tell();
  }
});
document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (!isField(form) || isTap(event.target)) return;
  hold(draftOf(form), JSON.stringify({ values: valuesOf(form), seen: form.elements.seen.value }));
});
document.addEventListener("htmx:afterSettle", () => { showOthers(); closeForms(); });
document.addEventListener("submit", (event) => {
  if (!("signsOut" in (event.target.dataset ?? {}))) return;
  const waiting = queue().filter((entry) => entry.person === me).length;
  const words = `${waiting} of your answers are not sent yet. They stay on this device until you sign in on it again. Sign out?`;
  if (waiting && !window.confirm(words)) event.preventDefault();
});
window.addEventListener("beforeunload", (event) => {
  if (queue().some((entry) => entry.state === "waiting" && entry.person === me && entry.tries) && trouble) event.preventDefault();
});
window.addEventListener("storage", (event) => { if (event.key === QUEUE) tell(); });
window.addEventListener("online", send);
setInterval(send, AGAIN_MS);
setInterval(tellTimes, 30000);

document.querySelectorAll("form.field").forEach(putBack);
closeForms();
tell();
send();

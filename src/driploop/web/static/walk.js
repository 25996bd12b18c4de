// The walk's own: photographs sent one by one with their progress, and keys for feet and inches.

const SIGNS = [["'", "feet"], ['"', "inches"], ["/", "fraction"]];
const KEYED = "form.field [data-unit=ft], form.field [data-unit=in]";

// One photograph a request, so that a weak line loses one at most; what was not sent can be sent again.
function send(form, files) {
  const told = form.querySelector(".sending");
  const caption = form.elements.caption.value;
  let left = [...files];
  const next = () => {
    if (!left.length) return;
    const bar = document.createElement("progress");
    bar.max = 1;
    bar.value = 0;
    bar.setAttribute("aria-label", `Sending ${left[0].name}`);
    told.replaceChildren(`Sending ${left.length === 1 ? "one photograph" : `${left.length} photographs`} `, bar);
    const content = new FormData();
    for (const [name, value] of [["token", form.elements.token.value], ["item", form.querySelector("[name=item]").value], ["caption", caption]]) content.append(name, value);
    content.append("picture", left[0], left[0].name);
    const request = new XMLHttpRequest();
    request.open("POST", form.action);
    request.setRequestHeader("HX-Request", "true");
    request.upload.onprogress = (event) => { if (event.lengthComputable) bar.value = event.loaded / event.total; };
    request.onload = () => request.status === 200 || request.status === 422 ? arrived(request) : again(`Not sent: the program answered ${request.status}.`);
    request.onerror = () => again("Not sent: no connection. The photographs are still on this device.");
    request.send(content);
  };
  const arrived = (request) => {
    left = left.slice(1);
    const place = form.closest(".photographs");
    const made = new DOMParser().parseFromString(request.responseText, "text/html").querySelector(".photographs");
    if (!made) return again("Not sent: the program did not answer as it should.");
    const rest = left;
    place.replaceWith(made);
    window.htmx?.process(made);
    const fresh = made.querySelector(".pictures-add");
    if (rest.length) { fresh.elements.caption.value = caption; send(fresh, rest); }
    else if (request.status === 200) fresh.querySelector(".sending").textContent = "Kept.";
  };
  const again = (words) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = "Send again";
    button.addEventListener("click", next);
    told.replaceChildren(`${words} `, button);
  };
  next();
}

document.addEventListener("change", (event) => {
  const input = event.target;
  if (!(input instanceof HTMLInputElement) || input.type !== "file" || !input.files.length) return;
  const form = input.closest(".pictures-add");
  if (form) send(form, input.files);
});

// A number pad has no signs for feet and inches: they get keys of their own beside the field.
if (matchMedia("(pointer: coarse)").matches) {
  for (const input of document.querySelectorAll(KEYED)) {
    const keys = document.createElement("span");
    keys.className = "keys";
    for (const [sign, words] of SIGNS) {
      const key = document.createElement("button");
      key.type = "button";
      key.className = "plain";
      key.textContent = sign;
      key.setAttribute("aria-label", `Type the sign for ${words}`);
      key.addEventListener("click", () => {
        input.setRangeText(sign, input.selectionStart, input.selectionEnd, "end");
        input.focus();
      });
      key.addEventListener("pointerdown", (event) => event.preventDefault());
      keys.append(key);
    }
    input.after(keys);
  }
}

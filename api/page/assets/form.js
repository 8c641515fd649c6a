// Comfort for the guided page, which works without it: the draft is kept in the browser, buttons that change the form do so in place, the
// drawing follows the typing, files can be dropped.
"use strict";
{
  const main = document.getElementById("content");
  let form = document.getElementById("guide");
  const keyOf = (f) => "mastworth.draft." + f.dataset.draft;

  const store = {
    read: (key) => { try { return localStorage.getItem(key); } catch { return null; } },
    write: (key, text) => { try { localStorage.setItem(key, text); } catch { /* private, or full: the page works without */ } },
    drop: (key) => { try { localStorage.removeItem(key); } catch { /* likewise */ } },
  };

  // What is typed, without files.
  const typed = () => {
    const out = new URLSearchParams();
    for (const [name, value] of new FormData(form)) {
      if (typeof value === "string") out.append(name, value);
    }
    return out;
  };

  // Asks the service for the page as it is after a button, and takes what is in it.
  const ask = async (body) => {
    const answer = await fetch(form.getAttribute("action"), { method: "POST", body, headers: { Accept: "text/html" }, credentials: "same-origin" });
    if (answer.redirected || !(answer.headers.get("Content-Type") || "").startsWith("text/html")) throw new Error("no page");
    return new DOMParser().parseFromString(await answer.text(), "text/html");
  };

  const open = () => [...main.querySelectorAll("details")].map((d) => d.open);

  const swap = async (body, focus) => {
    const before = open();
    const rows = main.querySelectorAll(".row").length;
    const page = await ask(body);
    const fresh = page.getElementById("guide");
    if (!fresh) throw new Error("no form");
    main.replaceChildren(...page.getElementById("content").childNodes);
    form = document.getElementById("guide");
    const details = [...main.querySelectorAll("details")];
    if (details.length === before.length) details.forEach((d, i) => { d.open = d.open || before[i]; });
    const faults = document.getElementById("faults");
    const place = faults || main.querySelector(focus) || main.querySelector("[role=status]");
    if (faults) faults.focus();
    else if (main.querySelectorAll(".row").length > rows && place) place.focus();
    keep();
  };

  let drawing = 0;
  const draw = () => {
    clearTimeout(drawing);
    drawing = setTimeout(async () => {
      const body = typed();
      body.set("do", "look");
      try {
        const plan = (await ask(body)).getElementById("plan");
        if (plan) document.getElementById("plan").replaceChildren(...plan.childNodes);
      } catch { /* the button draws it too */ }
    }, 500);
  };

  let keeping = 0;
  const keep = () => {
    clearTimeout(keeping);
    keeping = setTimeout(() => store.write(keyOf(form), typed().toString()), 200);
  };

  const chooseFile = (input) => {
    if (input.id !== "f-wind-file" || !input.files.length) return;
    const body = new FormData(form);
    body.set("by.wind", "file");
    body.set("do", "file");
    swap(body, "#f-wind-record-id").catch(() => { /* it goes along with the next button */ });
  };

  document.addEventListener("input", (e) => {
    if (!form.contains(e.target)) return;
    keep();
    if (/^(site\.obstacles|towers|turbine\..*diameter)/.test(e.target.name || "")) draw();
  });

  document.addEventListener("change", (e) => {
    if (!form.contains(e.target)) return;
    if (e.target.type === "file") chooseFile(e.target);
    if (e.target.id === "f-units") form.querySelector("[value=units]").click();
  });

  document.addEventListener("click", (e) => {
    const button = e.target.closest("button, input[type=image], a[data-over]");
    if (!button) return;
    if (button.matches("a[data-over]")) {
      clearTimeout(keeping);
      store.drop(keyOf(form));
      return;
    }
    if (!form.contains(button)) return;
    if (button.type === "image") {
      const box = button.getBoundingClientRect();
      const wide = Number(button.dataset.world);
      const x = e.clientX - box.left, y = e.clientY - box.top;
      if (x <= 0 || y <= 0 || !e.clientX) return;
      e.preventDefault();
      const body = typed();
      body.set(button.name + ".x", String(Math.round(x * wide / box.width)));
      body.set(button.name + ".y", String(Math.round(y * wide / box.width)));
      swap(body, "#f-site-latitude").catch(() => { /* the place can be typed */ });
      return;
    }
    if (button.dataset.swap === undefined) return;
    e.preventDefault();
    const body = button.value === "open" || button.value === "file" ? new FormData(form) : typed();
    body.set(button.name, button.value);
    const [what, place] = button.value.split(":");
    const focus = what === "add" ? `#${CSS.escape("f-" + place.replace(/[._]/g, "-"))} .row:last-of-type input, #${CSS.escape("f-" + place.replace(/[._]/g, "-"))} .row:last-of-type select` : "#none";
    swap(body, focus).catch(() => form.requestSubmit(button));
  });

  document.addEventListener("submit", (e) => {
    if (e.target !== form) return;
    store.write(keyOf(form), typed().toString());
    if (!(e.submitter && e.submitter.value === "draft")) store.write(keyOf(form) + ".sent", "yes");
  });

  for (const kind of ["dragover", "dragleave", "drop"]) {
    document.addEventListener(kind, (e) => {
      const zone = e.target.closest && e.target.closest("[data-drop]");
      if (!zone || !e.dataTransfer || ![...e.dataTransfer.types].includes("Files")) return;
      e.preventDefault();
      zone.classList.toggle("over", kind === "dragover");
      if (kind !== "drop") return;
      const input = document.getElementById(zone.dataset.drop);
      input.files = e.dataTransfer.files;
      chooseFile(input);
    });
  }

  // A page that is empty is filled from what was typed before. What was sent already is offered alone.
  let kept = store.read(keyOf(form));
  const version = form.elements.version ? form.elements.version.value : null;
  if (kept && new URLSearchParams(kept).get("version") !== version) kept = null; // of a site that was saved since
  const sent = store.read(keyOf(form) + ".sent");
  store.drop(keyOf(form) + ".sent");
  const bringBack = () => {
    const body = new URLSearchParams(kept);
    body.set("units", body.get("units.shown") || "metric");
    body.set("do", "look");
    swap(body, "#none").catch(() => { /* an empty page is a page too */ });
  };
  if (form.dataset.fresh !== undefined && kept && !sent) bringBack();
  else if (form.dataset.fresh !== undefined && kept) {
    const note = document.getElementById("restored");
    const button = document.createElement("button");
    button.type = "button";
    button.className = "small";
    button.textContent = note.dataset.bring;
    button.addEventListener("click", bringBack);
    note.append(note.dataset.kept, " ", button);
    note.hidden = false;
    main.querySelector(".lead").after(note);
  }
}

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

  // What happens is said aloud outside of what is replaced, and shown beside what was pressed.
  const aloud = document.createElement("p");
  aloud.className = "first";
  aloud.setAttribute("role", "status");
  document.body.append(aloud);
  const shown = document.createElement("p");
  shown.className = "notice";
  const say = (text, beside) => {
    aloud.textContent = text;
    shown.textContent = text;
    if (text && beside) beside.after(shown);
    if (!text) shown.remove();
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
    if (answer.redirected || !(answer.headers.get("Content-Type") || "").startsWith("text/html")) throw new Refused("");
    return new DOMParser().parseFromString(await answer.text(), "text/html");
  };

  // An answer that is no form: a page that says what is wrong, in its words.
  class Refused extends Error {}

  // Controls by their names, with what is in them: what was changed since a request was sent is told by it.
  const held = (e) => (e.type === "radio" || e.type === "checkbox" ? String(e.checked) : e.value);
  const nameOf = (e) => (e.type === "radio" || e.type === "checkbox" ? e.name + "=" + e.value : e.name);
  const controls = () => [...form.elements].filter((e) => e.name && e.matches("input:not([type=hidden], [type=image]), select, textarea"));
  const snapshot = () => new Map(controls().map((e) => [nameOf(e), held(e)]));

  // Rows behind one that goes move up by one.
  const renamed = (name, gone) => {
    const at = gone && gone.match(/^(.*)\[(\d+)\]$/);
    if (!at || !name.startsWith(at[1] + "[")) return name;
    const n = parseInt(name.slice(at[1].length + 1), 10);
    if (n === Number(at[2])) return "";
    return n > Number(at[2]) ? at[1] + "[" + (n - 1) + name.slice(name.indexOf("]")) : name;
  };

  // What was typed, and which files were chosen, while an answer was under way.
  const changed = (before) => controls().filter((e) => (e.type === "file" ? e.files.length : before.get(nameOf(e)) !== held(e)));
  const carry = (old, gone, sentFile) => {
    const fresh = new Map(controls().map((e) => [nameOf(e), e]));
    for (const e of old) {
      const now = fresh.get(renamed(nameOf(e), gone));
      if (!now || now.id === sentFile) continue;
      if (e.type === "file") now.files = e.files;
      else if (e.type === "radio" || e.type === "checkbox") now.checked = e.checked;
      else now.value = e.value;
    }
  };

  // Where the focus is, to be found again in other content.
  const mark = () => {
    const e = document.activeElement;
    if (!form.contains(e)) return null;
    const selector = e.id ? "#" + CSS.escape(e.id) : e.matches("button") ? `button[value="${CSS.escape(e.value)}"]` : `[name="${CSS.escape(e.name || "none")}"]`;
    return { typing: e.matches("textarea, input:not([type=image])"), selector, from: e.selectionStart, to: e.selectionEnd };
  };
  const focusAgain = (was, wanted) => {
    const same = was && main.querySelector(was.selector), typing = was && was.typing && same;
    const place = typing || document.getElementById("faults") || main.querySelector(wanted) || same || main.querySelector("[role=status]");
    if (!place) return;
    if (place.matches("[role=status]")) place.tabIndex = -1;
    place.focus({ preventScroll: place === same || place.matches("[role=status]") });
    if (typing && typeof was.from === "number") {
      try { place.setSelectionRange(was.from, was.to); } catch { /* of a kind that has none */ }
    }
  };

  const replace = (page, sent) => {
    const old = changed(sent.before), was = sent.was || mark();
    const opened = [...main.querySelectorAll("details")].map((d) => d.open);
    main.replaceChildren(...page.getElementById("content").childNodes);
    form = document.getElementById("guide");
    carry(old, sent.gone, sent.file);
    const details = [...main.querySelectorAll("details")];
    if (details.length === opened.length) details.forEach((d, i) => { d.open = d.open || opened[i]; });
    focusAgain(was, sent.focus);
    say("");
    aloud.textContent = [...main.querySelectorAll("p[role=status]")].map((p) => p.textContent).join(" ");
    keep();
  };

  // One request after the other: each is of the page that the one before it left. make gives its body when its turn has come; with
  // whole, everything is replaced, so that nothing may be typed meanwhile.
  let last = Promise.resolve(), swaps = 0;
  const swap = (make, how) => {
    const turn = last.then(async () => {
      swaps++; // a drawing under way is of an older page now
      const sent = { ...how, before: snapshot(), was: how.whole ? mark() : null }; // what is inert loses the focus
      const body = make();
      if (how.whole) form.inert = true;
      try {
        const page = await ask(body);
        if (!page.getElementById("guide")) throw new Refused(((page.getElementById("content") || {}).textContent || "").replace(/\s+/g, " ").trim().slice(0, 300));
        replace(page, sent);
        return null;
      } catch (e) {
        form.inert = false;
        say(e.message && e instanceof Refused ? e.message : form.dataset.failed, how.beside && how.beside());
        return e;
      }
    });
    last = turn;
    return turn;
  };

  let drawing = 0, drawings = 0;
  const draw = () => {
    clearTimeout(drawing);
    drawing = setTimeout(async () => {
      const body = typed(), mine = ++drawings, page = swaps;
      body.set("do", "look");
      try {
        const plan = (await ask(body)).getElementById("plan");
        if (!plan || mine !== drawings || page !== swaps) return; // another was asked for since
        const old = document.getElementById("plan");
        const alt = (p) => [...p.querySelectorAll("svg > title, svg > desc, p.note")].map((e) => e.textContent).join(" ");
        if (alt(old) !== alt(plan)) aloud.textContent = alt(plan);
        old.replaceChildren(...plan.childNodes);
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
    say(form.dataset.reading, input);
    swap(() => {
      say(form.dataset.reading, document.getElementById(input.id)); // what came before may have replaced it
      const body = new FormData(form);
      body.set("wind.file", input.files[0]);
      body.set("by.wind", "file");
      body.set("do", "file");
      return body;
    }, { focus: "#f-wind-record-id", file: input.id, beside: () => document.getElementById(input.id) });
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

  // The drawn world gives the place where it is pointed at.
  const point = (button, e) => {
    const box = button.getBoundingClientRect(), wide = Number(button.dataset.world);
    const x = e.clientX - box.left, y = e.clientY - box.top;
    if (x <= 0 || y <= 0 || !e.clientX) return;
    e.preventDefault();
    swap(() => {
      const body = typed();
      body.set(button.name + ".x", String(Math.round(x * wide / box.width)));
      body.set(button.name + ".y", String(Math.round(y * wide / box.width)));
      return body;
    }, { focus: "#none", beside: () => document.getElementById("world-note") });
  };

  const press = (button) => {
    const { name, value } = button, [what, place] = value.split(":");
    const rows = (p) => "#" + CSS.escape("f-" + p.replace(/[._]/g, "-")) + " .row:last-of-type ";
    const focus = what === "add" ? `${rows(place)}input, ${rows(place)}select` : what === "remove" ? `button[value="${CSS.escape("add:" + place.split("[")[0])}"]` : "#none";
    const again = () => main.querySelector(`button[value="${CSS.escape(value)}"]`) || button;
    if (what === "file") say(form.dataset.reading, button);
    swap(() => {
      const body = what === "open" || what === "file" ? new FormData(form) : typed();
      body.set(name, value);
      return body;
    }, { focus, gone: what === "remove" ? place : "", file: what === "open" ? "f-draft" : what === "file" ? "f-wind-file" : "", beside: again,
      whole: what === "units" || what === "open" || what === "example" }).then((e) => { if (e instanceof Refused) form.requestSubmit(again()); });
  };

  document.addEventListener("click", (e) => {
    const button = e.target.closest("button, input[type=image], a[data-over]");
    if (!button) return;
    if (button.matches("a[data-over]")) {
      clearTimeout(keeping);
      store.drop(keyOf(form));
      return;
    }
    if (!form.contains(button)) return;
    if (button.type === "image") return point(button, e);
    if (button.dataset.swap === undefined) return;
    e.preventDefault();
    press(button);
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
  const bringBack = () => swap(() => {
    const body = new URLSearchParams(kept);
    body.set("units", body.get("units.shown") || "metric");
    body.set("do", "units");
    return body;
  }, { focus: "#none", whole: true, beside: () => document.getElementById("restored") });
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

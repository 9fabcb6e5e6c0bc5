// For readers and keys: what was counted is told once, a new step moves the focus to its title, and what is focused,
// opened or typed stays so when its part of the screen comes anew. What is wrong with a form is said at its field.
"use strict";
(() => {
  const room = window.sewingRoom;
  if (!room) return;
  const SOON = 400; // so that several changes of one tap are told as one
  const FOCUSED = "a[href], button, input, select, textarea, summary";

  const find = (selector) => document.querySelector(selector);
  const isSeen = (each) => each.getClientRects().length > 0;
  const isLost = () => !document.activeElement || document.activeElement === document.body || !isSeen(document.activeElement);

  // What was counted

  let tapped = false;
  let mended = false; // what came of it stands at the top
  let timer = 0;

  function tellSoon() {
    clearTimeout(timer);
    if (tapped) timer = setTimeout(tell, SOON);
  }

  function tell() {
    const waiting = room.waiting().length;
    if (waiting && !room.away()) return; // it is told when it is saved
    const done = room.live()?.dataset.step ? `${find("#done").textContent} of ${find("#count").textContent} done, ` : "";
    const text = `${done}${waiting ? "kept on this device until the computer answers" : "saved"}`;
    find("#told").textContent = text[0].toUpperCase() + text.slice(1);
    tapped = Boolean(waiting);
  }

  document.addEventListener("submit", (event) => {
    if (!event.target.matches("form[data-tap]")) return;
    tapped = true;
    mended = Boolean(room.live()?.dataset.view.startsWith("mend:"));
    find("#told").textContent = "";
    clearFault(event.target);
    tellSoon();
    requestAnimationFrame(() => requestAnimationFrame(keepFocus)); // where the button itself is gone
  });

  // What is focused, opened and typed

  let held = null; // of the part that goes
  let shown = room.live()?.dataset.step;

  const among = () => [...(room.live()?.querySelectorAll(FOCUSED) ?? [])].filter(isSeen);

  function nameOf(each) {
    if (each.id) return `#${CSS.escape(each.id)}`;
    return each.matches("a[href]") ? `a[href="${CSS.escape(each.getAttribute("href"))}"]` : "";
  }

  document.addEventListener("focusin", (event) => {
    const part = room.live();
    if (part?.contains(event.target)) held = { name: nameOf(event.target), place: among().indexOf(event.target), counts: Boolean(event.target.closest(".bar")) };
    else if (event.target !== document.body) held = null;
  });

  let kept = { open: [], typed: [] };
  document.addEventListener("htmx:before:swap", () => {
    const part = room.live();
    kept = {
      open: [...(part?.querySelectorAll("details[open] > summary") ?? [])].map((each) => each.textContent),
      typed: [...(part?.querySelectorAll("input[id], textarea[id], select[id]") ?? [])]
        .filter((each) => each.type !== "hidden" && each.id !== "chain" && each.value !== (each.defaultValue ?? each.value))
        .map((each) => [each.id, each.defaultValue, each.value]),
    };
  });

  document.addEventListener("htmx:after:swap", () => {
    const part = room.live();
    const now = part?.dataset.step;
    if (now !== shown && now) toTitle();
    else keepFocus();
    if (now === shown) stillOpen(part);
    shown = now;
    if (mended && !room.waiting().length) {
      mended = false;
      scrollTo(0, 0);
    }
    tellSoon();
  });

  function stillOpen(part) {
    part?.querySelectorAll("details:not([open]) > summary").forEach((each) => {
      if (kept.open.includes(each.textContent)) each.parentElement.open = true;
    });
    for (const [id, before, value] of kept.typed) {
      const field = document.getElementById(id);
      if (field && field.defaultValue === before) field.value = value;
    }
  }

  function toTitle() {
    const title = find("main h1");
    if (!title) return;
    title.tabIndex = -1;
    title.focus({ preventScroll: true });
    held = null;
  }

  function keepFocus() {
    if (!held || !isLost()) return;
    const named = held.name && room.live()?.querySelector(held.name);
    const others = among();
    // Beside what counted may be what takes it back, which no key pressed once more should meet.
    const beside = held.counts ? null : others[Math.min(held.place, others.length - 1)];
    const next = named && isSeen(named) ? named : beside;
    if (next) next.focus({ preventScroll: true });
    else toTitle();
  }

  // A question that only the computer can answer: no page of the browser's own takes the place of this one.
  document.addEventListener("submit", (event) => {
    if (event.target.method !== "get" || !room.away()) return;
    event.preventDefault();
    room.complain("What comes apart is told by the computer, which does not answer now; ask again when it is back.");
  });

  // What is wrong with a form, at the field that it is about

  const asks = "input:not([type=hidden]), select, textarea";

  function formOf(tap) {
    const fields = new Map(tap.fields);
    const same = (form, name) => (fields.get(name) ?? "") === (form.querySelector(`[name=${name}]`)?.value ?? "");
    return [...document.querySelectorAll("form[data-tap]")].find((form) => form.querySelector(asks) &&
      ["do", "step", "pile", "cloth", "strip", "what"].every((name) => same(form, name)));
  }

  function clearFault(form) {
    form.querySelector(".form-fault")?.remove();
    form.querySelectorAll("[aria-invalid]").forEach((each) => {
      each.removeAttribute("aria-invalid");
      each.removeAttribute("aria-describedby");
    });
  }

  // Whether it could be said there.
  function atField(sentence, tap) {
    const form = formOf(tap);
    if (!form) return false;
    clearFault(form);
    const fields = [...form.querySelectorAll(asks)];
    sayAt(fields.find((each) => each.value.trim() && sentence.includes(`“${each.value.trim().slice(0, 40)}”`)) ?? fields[0], sentence);
    return true;
  }

  function sayAt(field, sentence) {
    const place = document.createElement("p");
    place.className = "form-fault";
    place.id = "form-fault";
    place.setAttribute("role", "alert");
    place.textContent = sentence;
    (field.closest("label") ?? field).before(place);
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", place.id);
    field.addEventListener("input", () => clearFault(field.form), { once: true });
    field.focus({ preventScroll: true });
    place.scrollIntoView({ block: "center" });
  }

  // What the browser would say in its own words of what is missing, of the first field alone.
  let said = false;
  document.addEventListener("invalid", (event) => {
    const field = event.target;
    const { form } = field;
    event.preventDefault();
    if (said || !form) return;
    said = true;
    setTimeout(() => { said = false; });
    clearFault(form);
    if (field.closest(".bar")) room.complain(missing(field));
    else sayAt(field, missing(field));
  }, true);

  function missing(field) {
    if (field.type === "file") return "Choose a file first.";
    const label = field.labels?.[0]?.cloneNode(true);
    label?.querySelectorAll("input, select, textarea, .typed").forEach((each) => each.replaceWith(" … "));
    const name = field.getAttribute("aria-label") ?? label?.textContent.replace(/\s+/g, " ").replace(/( …)+( \([^)]*\))? *$/, "").trim() ?? "";
    if (field.type === "checkbox") return `Tick first: ${name}.`;
    if (field.validity.valueMissing && !field.validity.badInput) return `Still empty: “${name}”.`;
    if (field.type === "date") return `“${name}” is no whole day.`;
    return `“${name}”: a number from ${field.min || 0}${field.max ? ` to ${Number(field.max).toLocaleString("en")}` : ""}.`;
  }

  Object.assign(room, { atField });
})();

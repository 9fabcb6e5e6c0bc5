// Measuring blocks: a ruler to tap. Bringing them to one size: the size slid along the ruler's marks; every answer has
// been worked out before and comes with the page, which only chooses.
"use strict";
(() => {
  const fields = () => [...document.querySelectorAll(".block-measures fieldset input.length")];
  let current = null;

  function choose(field) {
    current = field ?? null;
    fields().forEach((each) => each.classList.toggle("current", each === current));
  }

  function tapped(mark) {
    const all = fields();
    const field = all.includes(current) ? current : all.find((each) => !each.value) ?? all[0];
    field.value = mark.dataset.mark;
    const after = all.slice(all.indexOf(field) + 1);
    choose(after.find((each) => !each.value) ?? after[0] ?? field);
    typed();
  }

  // Without the keyboard opening: only a finger on the field itself asks for that.
  document.addEventListener("click", (event) => {
    const mark = event.target.closest?.("[data-mark]");
    if (mark) tapped(mark);
    const at = event.target.closest?.("[data-at]");
    if (at && slider()) {
      event.preventDefault();
      slider().value = at.dataset.at;
      slid();
    }
  });
  document.addEventListener("focusin", (event) => { if (fields().includes(event.target)) choose(event.target); });

  // What is typed and not sent yet stays, whatever becomes of the page.
  const DRAFT = "measures " + location.pathname + location.search;

  function keep(figures) {
    try {
      if (figures) sessionStorage.setItem(DRAFT, JSON.stringify(figures));
      else sessionStorage.removeItem(DRAFT);
    } catch {
      // as long as the page
    }
  }

  function kept() {
    try {
      return JSON.parse(sessionStorage.getItem(DRAFT) ?? "[]");
    } catch {
      return [];
    }
  }

  kept().forEach((figure, number) => { if (figure && fields()[number]) fields()[number].value = figure; });
  const typed = () => keep(fields().map((field) => field.value));
  document.addEventListener("input", (event) => { if (fields().includes(event.target)) typed(); });

  const slider = () => document.querySelector("[data-slide]");
  const list = (text) => JSON.parse(text);
  let held = null;

  function slid() {
    const number = Number(slider().value);
    held = slider().max + ":" + number;
    document.querySelectorAll("[data-each]").forEach((each) => {
      const words = list(each.dataset.each)[number];
      if (words === undefined) return;
      if (each.matches("input")) each.value = words; else each.textContent = words;
    });
    document.querySelectorAll("[data-until]").forEach((each) => { each.hidden = number > Number(each.dataset.until); });
    document.querySelectorAll("[data-places]").forEach((each) => {
      const place = list(each.dataset.places)[number];
      each.setAttribute("x1", place);
      each.setAttribute("x2", place);
    });
    document.querySelectorAll("[data-at]").forEach((each) => {
      if (Number(each.dataset.at) === number) each.setAttribute("aria-current", "true"); else each.removeAttribute("aria-current");
    });
    const chosen = document.querySelector(`[data-at="${number}"]`);
    if (chosen) slider().setAttribute("aria-valuetext", chosen.textContent);
  }

  document.addEventListener("input", (event) => { if (event.target === slider()) slid(); });
  let sent = false;
  let onward = null; // many in a row: where it goes on, without what the figures say between
  document.addEventListener("submit", (event) => {
    sent = event.target.matches(".block-measures");
    onward = sent ? event.submitter?.dataset.next ?? null : null;
  });
  document.addEventListener("htmx:after:swap", () => {
    if (sent) keep(null);
    if (sent && onward) {
      location.assign(onward);
      return;
    }
    // What the figures say stands above them.
    if (sent) document.querySelector("#live")?.scrollIntoView({ block: "nearest" });
    sent = false;
    // News of other devices keeps the mark that she slid to, while there are as many.
    if (slider() && held && held.split(":")[0] === slider().max) {
      slider().value = held.split(":")[1];
      slid();
    }
  });

  const planned = document.querySelector(".ruler .planned");
  if (planned) planned.parentElement.scrollLeft = planned.offsetLeft - (planned.parentElement.clientWidth - planned.offsetWidth) / 2;
  choose(fields().find((each) => !each.value));
})();

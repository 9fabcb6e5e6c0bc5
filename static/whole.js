// While taps wait to be saved, a block whole goes on from memory: every pass counts on, and another can be chosen.
"use strict";
(() => {
  const room = window.sewingRoom;
  if (!room) return;
  const counting = window.reckoning;
  const find = (selector, within = document) => within.querySelector(selector);
  const words = (text) => (text ?? "").split(" ").filter(Boolean);
  const away = () => room.state.failures > 0;

  // A pass as it is now: its step to count next, what one tap counts of it, how far it has come.
  function standing({ plan, counts, now }, cell) {
    const steps = words(cell.dataset.steps).map((short) => plan.at.get(short));
    const step = steps.find((each) => counting.left(counts, now, each)) ?? steps.at(-1);
    const sum = (of) => words(cell.dataset.counted).reduce((all, short) => all + of(short), 0);
    const many = (short) => counts.steps[short].count;
    const [done, count] = [sum((short) => Math.min(now.done[short], many(short))), sum(many)];
    const shares = counting.needed(plan, counts, now, step);
    return { step, shares, done, count, state: done >= count ? "done" : shares.length ? "ready" : "waits" };
  }

  // Whether the steps of this page are those of the plan in memory: it may have been edited elsewhere just now.
  const holds = ({ plan, counts }, cell) => [...words(cell.dataset.steps), ...words(cell.dataset.counted)]
    .every((short) => plan.at.has(short) && counts.steps[short]);

  function goOn(part, taps) {
    const mine = taps.filter((tap) => tap.quilt === part.dataset.quilt);
    const known = part.matches(".whole-block") && (mine.length || away()) && room.ahead?.known(part);
    const shown = [...part.querySelectorAll(".pass-cells li")];
    if (!known || !shown.every((cell) => holds(known, cell))) return;
    const cells = shown.map((cell) => ({ cell, ...standing(known, cell) }));
    for (const { cell, state, done, count } of cells) {
      cell.className = state;
      find(".far", cell).textContent = state === "done" ? "✓" : `${done}/${count}`;
      const link = find("a", cell);
      link.setAttribute("aria-label", link.getAttribute("aria-label").replace(/: \d+ of \d+ done(, ready)?$/, `: ${done} of ${count} done${state === "ready" ? ", ready" : ""}`));
    }
    const chosen = cells.find(({ cell }) => find("[aria-current]", cell));
    find("#done", part).textContent = chosen.done;
    find("#count", part).textContent = chosen.count;
    find(".how-to", part).href = `/quilts/${part.dataset.quilt}/steps/${chosen.step.short}`;
    find("#pending", part).hidden = !mine.length;
    find("#pending", part).textContent = away() ? "not saved yet" : "saving…";
    offer(part, known, chosen, cells.find((each) => each.state === "ready" && each !== chosen));
    takeBack(part, mine);
    part.querySelectorAll("form[data-sent]").forEach((form) => form.removeAttribute("data-sent"));
    part.querySelectorAll("[data-once]").forEach((button) => button.setAttribute("aria-disabled", "false"));
  }

  // What one tap counts of the pass chosen; else the next that lies ready; else how it is.
  function offer(part, { plan, counts, now }, { step, shares, state }, following) {
    const form = find("form.all", part);
    form.hidden = !shares.length;
    find("[name=work]", form).value = counting.told(shares);
    find("#all-words", form).textContent = counting.said(plan, counts, now, step, shares).words;
    part.querySelectorAll(".go > :is(.carry-on, .finished)").forEach((each) => each.remove());
    if (shares.length) return;
    const next = document.createElement(following ? "button" : "p");
    next.className = following ? "big carry-on" : "finished";
    next.textContent = following ? `Carry on: ${find("h2", find("template", following.cell).content).textContent}`
      : state === "done" ? "✓ All done." : "Nothing lies ready for it yet.";
    if (following) next.addEventListener("click", () => choose(following.cell));
    find(".go", part).append(next);
  }

  // The newest tap that waits is taken back first.
  function takeBack(part, mine) {
    const form = find("form.take-back", part);
    const gone = new Set(mine.map((tap) => tap.what));
    const last = mine.filter((tap) => tap.pass && !gone.has(tap.id)).at(-1);
    const what = find("[name=what]", form);
    form.dataset.saved ??= what.value;
    what.value = last?.id ?? (gone.has(form.dataset.saved) ? "" : form.dataset.saved);
    form.hidden = !what.value;
    if (last) find("small", form).textContent = "the last tap";
  }

  // What the computer sends next is of this pass too.
  function choose(cell) {
    const part = room.live();
    const address = new URL(part.getAttribute("hx-get"), location.href);
    part.dataset.view = part.dataset.view.replace(/^pattern:[^:]*/, `pattern:${new URL(find("a", cell).href).searchParams.get("pass")}`);
    address.searchParams.set("view", part.dataset.view);
    part.setAttribute("hx-get", `${address.pathname}${address.search}`);
    part.querySelectorAll(".pass-cells [aria-current]").forEach((link) => link.removeAttribute("aria-current"));
    find("a", cell).setAttribute("aria-current", "step");
    find(".pass-told", part).replaceWith(find("template", cell).content.cloneNode(true));
    room.show();
  }

  // Before a link is asked for (see ahead.js): nobody would answer.
  window.addEventListener("click", (event) => {
    const cell = event.target.closest?.(".whole-block .pass-cells li");
    if (!cell || !away() || !room.ahead?.known(room.live())) return;
    event.preventDefault();
    event.stopPropagation();
    choose(cell);
  }, true);

  room.goOn = goOn;
  room.show();
})();

// While the computer is away, the cutting table goes on from memory: the next strip is shown for every tick that waits.
"use strict";
(() => {
  const room = window.sewingRoom;
  if (!room) return;
  const find = (selector, within = document) => within.querySelector(selector);

  // Strips ticked on this device and not saved yet, in order; a tick taken back meanwhile is none.
  function onTheWay(part, taps) {
    const mine = taps.filter((tap) => tap.quilt === part.dataset.quilt);
    const back = new Set(mine.map((tap) => tap.what));
    return mine.filter((tap) => tap.strip && !back.has(tap.id));
  }

  // The strips still to be cut when the part was made: "cloth name sheet number" each.
  const toCut = (part) => part.dataset.strips.split(";").filter(Boolean).map((text) => text.split(" "));

  // Where the answer may come at once, nothing is shown before it.
  function goOn(part, taps, answered) {
    if (answered || !part.dataset.strips || !taps.some((tap) => tap.quilt === part.dataset.quilt)) return;
    const waiting = onTheWay(part, taps);
    const ticked = new Set(waiting.map((tap) => tap.strip));
    const next = toCut(part).find(([, name]) => !ticked.has(name));
    show(part, next);
    takeBack(part, waiting.at(-1));
    find("#done", part).textContent = Number(part.dataset.done) + toCut(part).filter(([, name]) => ticked.has(name)).length;
    part.querySelectorAll("form[data-sent]").forEach((form) => form.removeAttribute("data-sent"));
    part.querySelectorAll("[data-once]").forEach((button) => button.setAttribute("aria-disabled", "false"));
  }

  function show(part, next) {
    const form = find("form.one", part);
    const article = find("article.strip", part);
    find("#kept-here", part).hidden = Boolean(next);
    form.hidden = article.hidden = !next;
    if (!next || find("[name=strip]", form).value === next[1]) return;
    const [cloth, name, sheet, number] = next;
    article.replaceChildren(document.getElementById(`sheet-${sheet}`).content.cloneNode(true));
    find("[data-number]", article).textContent = number;
    find("#one", form).textContent = find("[data-tick]", article).dataset.tick;
    find("[name=cloth]", form).value = cloth;
    find("[name=strip]", form).value = name;
  }

  function takeBack(part, last) {
    const form = find("form.take-back", part);
    const what = find("[name=what]", form);
    form.dataset.saved ??= what.value;
    what.value = last ? last.id : form.dataset.saved;
    form.hidden = !what.value;
    if (last) find("small", form).textContent = "the last strip";
  }

  room.goOn = goOn;
  room.show();
})();

// On a wide screen the list stands beside the step: fetched when it is shown, and anew when something was counted.
"use strict";
(() => {
  if (!window.sewingRoom) return;
  const rail = document.getElementById("rail");
  const wide = matchMedia("(min-width: 1180px)");
  const SOON = 700; // so that several changes of one tap are fetched as one
  let timer = 0;
  let shown = "";

  function soon() {
    const part = window.sewingRoom.live();
    const now = `${part?.dataset.version} ${part?.dataset.step}`;
    if (!wide.matches || now === shown) return;
    shown = now;
    clearTimeout(timer);
    timer = setTimeout(load, SOON);
  }

  async function load() {
    try {
      const answer = await fetch(rail.dataset.list, { credentials: "same-origin", signal: AbortSignal.timeout?.(8000) });
      if (!answer.ok || !window.sewingRoom.isOurs(answer.headers)) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      rail.replaceChildren(...page.querySelectorAll(".group"));
    } catch {
      // what stands there stays
    }
    mark();
  }

  function mark() {
    const step = window.sewingRoom.live()?.dataset.step;
    const here = step && rail.querySelector(`a[href$="/steps/${step}"]`)?.closest(".row");
    rail.querySelectorAll("[aria-current]").forEach((row) => row.removeAttribute("aria-current"));
    if (!here) return;
    here.setAttribute("aria-current", "step");
    rail.scrollTop += here.getBoundingClientRect().top - rail.getBoundingClientRect().top - rail.clientHeight / 3;
  }

  if (!rail) return;
  new MutationObserver(soon).observe(document.getElementById("screen"), { childList: true, subtree: true });
  wide.addEventListener("change", soon);
  soon();
})();

// The steps ahead, kept in memory: while the computer is away the open page goes on through all of them, and what lies
// ready is reckoned here from the last counts and the taps that are not saved yet.
"use strict";
(() => {
  const room = window.sewingRoom;
  if (!room) return;
  const counting = window.reckoning;
  const LATER = 1500; // after the page itself is there
  const TOO_SLOW = 1500; // from then on a step is shown from memory
  const PATIENCE = 30000;
  const AGAIN = 8000; // where they could not be had
  const MOST_LISTED = 8; // steps of a pass that stand open
  const MORE = 12000; // after what came at first

  let plan = null; // what stands in the plan: steps, piles, screens
  let counts = null; // where it stood when last asked
  const since = []; // taps saved after that
  let asking = false;
  let timer = 0;
  let later = 0;

  async function ask(path) {
    const answer = await fetch(path, { signal: AbortSignal.timeout?.(PATIENCE), credentials: "same-origin" });
    if (!answer.ok || !room.isOurs(answer.headers)) throw new Error(answer.status);
    return answer.json();
  }

  const isNewest = (shown) => counts && counts.quilt === shown.quilt && counts.opening === shown.opening &&
    counts.version === Number(shown.version);

  async function load() {
    const part = room.live();
    if (!part || asking || isNewest(part.dataset)) return;
    asking = true;
    const quilt = part.dataset.quilt;
    const known = since.length;
    try {
      const fresh = { quilt, ...await ask(`/quilts/${quilt}/counts.json`) };
      if (!plan || plan.path !== fresh.ahead) plan = await loadPlan(fresh.ahead, part.dataset.step);
      counts = fresh;
      since.splice(0, known);
      tellHowFar();
    } catch {
      clearTimeout(timer); // what was there before stays
      timer = setTimeout(load, AGAIN);
    }
    asking = false;
  }

  async function loadPlan(path, current) {
    let fresh = await ask(path);
    if (current && indexIn(fresh, current) >= fresh.screens.length) fresh = await ask(`${path}&from=${current}`);
    return { ...counting.prepared(fresh), path };
  }

  // A first visit is kept light: what of the plan did not fit comes later, while the page stands open.
  async function loadMore() {
    const held = plan;
    const missing = held?.steps.find((step, number) => !held.screens[number]);
    if (!missing || !room.live()) return;
    try {
      const more = await ask(`${held.path}&from=${missing.short}`);
      more.screens.forEach((screen, number) => {
        const index = indexIn(held, more.steps[number].short);
        if (index < 0) return;
        held.screens[index] ??= screen;
        held.bars[index] ||= more.bars[number];
      });
      if (plan === held) tellHowFar();
    } catch {
      clearTimeout(later); // it is tried again
      later = setTimeout(loadMore, MORE);
    }
  }

  function tellHowFar() {
    document.documentElement.dataset.ahead = plan.screens.filter(Boolean).length;
    clearTimeout(later);
    if (plan.screens.filter(Boolean).length < plan.steps.length) later = setTimeout(loadMore, MORE);
  }

  const indexIn = (told, short) => told.steps.findIndex((step) => step.short === short);
  const has = (short) => Boolean(plan && counts && counts.steps[short] && plan.screens[indexIn(plan, short)]);

  function soon() {
    clearTimeout(timer);
    timer = setTimeout(load, LATER);
  }

  const reckoned = (without) => counting.reckon(plan, counts, [...since, ...room.waiting()].filter((tap) => tap !== without));

  const pileWords = (pile, many) => (many === 1 ? plan.piles[pile].one : plan.piles[pile].more.replace(/^2(?= )|2(?= blocks$)/, many));

  // Showing a step from memory

  // What changes of a step's screen; where its own name stands in it, comes a sign that packs well.
  const bar = (short) => plan.bars[indexIn(plan, short)].replaceAll("\0", short);

  function markup(short) {
    const number = indexIn(plan, short);
    const box = document.createElement("template");
    box.innerHTML = plan.screens[number] + bar(short);
    fill(box.content.querySelector("#live"));
    return box.innerHTML;
  }

  function fill(part) {
    const step = plan.steps[indexIn(plan, part.dataset.step)];
    const now = reckoned();
    const own = room.onTheWay(part, room.waiting());
    const sum = own.reduce((all, tap) => all + tap.count, 0);
    const can = counting.ready(plan, counts, now, step);
    part.dataset.memory = "yes";
    part.dataset.version = "0"; // whatever the computer says is newer
    delete part.dataset.opening;
    part.setAttribute("hx-get", part.getAttribute("hx-get").replace(/since=\d+/, "since=999999999999"));
    part.dataset.count = counts.steps[step.short].count;
    part.dataset.done = now.done[step.short] - sum;
    part.dataset.ready = can + sum;
    if (step.per) {
      part.dataset.blocks = [...new Set([...counting.readyBlocks(plan, now, step), ...room.blocksTaken(own, room.waiting()).map(Number)])]
        .sort((a, b) => a - b).join(" ");
    }
    sections(part, now, step, can);
    lastTap(part, step);
  }

  function sections(part, now, step, can) {
    const rest = counting.left(counts, now, step);
    const shares = counting.needed(plan, counts, now, step);
    const following = shares.length ? null : counting.carryOn(plan, counts, now, step, has);
    const mates = plan.order.filter((each) => each.pass === step.pass && counts.steps[each.short]);
    const shown = {
      ready: can > 0, left: rest > 0, waits: rest > 0 && !can && !shares.length, finished: !rest, together: shares.length > 0,
      several: mates.length > 1, "carry on": Boolean(following),
    };
    part.querySelectorAll("[data-when]").forEach((each) => { each.hidden = !shown[each.dataset.when]; });
    const many = part.dataset.count;
    part.querySelectorAll("#count, [data-all]").forEach((each) => { each.textContent = each.id || many < 2 ? many : `All ${many}`; });
    const chain = part.querySelector(".chain");
    if (chain) chain.hidden = can < 2;
    tell(part, now, step, shares);
    rows(part, now, step, mates, shares);
    if (shown.waits) {
      const short = counting.lacking(plan, counts, now, step);
      const words = short.map(([pile, many]) => pileWords(pile, many)).join(", and for ");
      lead(part.querySelector(".waiting-for a"), short.length ? plan.piles[short[0][0]].maker : "", `Waits for ${words || "an answer of the computer"}`);
    }
    if (!following) return;
    const on = part.querySelector("a[data-when='carry on']");
    on.querySelector("small").textContent = counts.sample && counting.batchInWork(plan, counts, now) > 0 ? "The sample is done: carry on" : "Carry on";
    lead(on, following.short, plan.passes[following.pass]);
  }

  // What one tap counts of the pass.
  function tell(part, now, step, shares) {
    const form = part.querySelector("form.all");
    if (!form) return;
    form.querySelector("[name=work]").value = counting.told(shares);
    const { words, what } = counting.said(plan, counts, now, step, shares);
    form.querySelector("#all-words").textContent = words;
    const title = part.querySelector("#pass-title");
    if (title) title.textContent = what;
    form.querySelector("#all").setAttribute("aria-disabled", String(!shares.length));
  }

  function rows(part, now, step, mates, shares) {
    const list = part.querySelector(".of-pass ol");
    const form = part.querySelector(".of-pass template");
    if (!list || !form) return;
    part.querySelector("#pass-size").textContent = mates.length;
    if (!part.dataset.rows) part.querySelector(".of-pass").open = mates.length <= MOST_LISTED && !mates.some((each) => each.per);
    part.dataset.rows = "yes"; // as she leaves it
    list.replaceChildren(...mates.map((each) => {
      const row = form.content.cloneNode(true).firstElementChild;
      const blocks = each.per ? counting.readyBlocks(plan, now, each).slice(0, 1) : [];
      const link = row.querySelector("a");
      link.href = `/quilts/${counts.quilt}/steps/${each.short}`;
      link.setAttribute("hx-get", link.getAttribute("href"));
      const needs = shares.find((share) => share.step === each)?.times;
      row.querySelector(".now").textContent = needs ? `${needs} ×` : "";
      row.querySelector(".what").textContent = each.title;
      row.querySelector(".many").textContent = `${now.done[each.short]} of ${counts.steps[each.short].count}`;
      row.classList.toggle("done", !counting.left(counts, now, each));
      if (each === step) row.setAttribute("aria-current", "step");
      row.querySelector("[name=step]").value = each.short;
      const named = row.querySelector("[name=blocks]");
      if (each.per) named.value = blocks.join(" ");
      else named.remove();
      if (!counting.ready(plan, counts, now, each)) row.querySelector("form").remove();
      return row;
    }));
  }

  // Of the pass that is open, with taps that are still on their way; says whether it is known.
  function together(part) {
    const step = plan && counts?.quilt === part.dataset.quilt && plan.at.get(part.dataset.step);
    if (!step || !counts.steps[step.short]) return false;
    const now = reckoned();
    tell(part, now, step, counting.needed(plan, counts, now, step));
    return true;
  }

  // After a tap that counts a pass: on to what comes next. The sample is not left so: it is measured first.
  async function onward(tap) {
    const isKnown = plan && counts?.quilt === tap.quilt;
    const now = isKnown && reckoned();
    if (isKnown && counts.sample && counting.batchInWork(plan, counts, now) > 0 && !counting.batchInWork(plan, counts, reckoned(tap))) return;
    const next = isKnown ? counting.carryOn(plan, counts, now, null) : undefined;
    if (isKnown && !next) return;
    await turn(next?.short, tap);
  }

  // To a step from memory at once, else when the tap is saved; without a step, to where the computer goes on.
  async function turn(short, tap) {
    if (short && await turnTo(short, true)) return;
    tap.leads = `/quilts/${tap.quilt}/${short ? `steps/${short}` : "onward"}`;
  }

  function lead(link, short, words) {
    link.querySelector("span").textContent = words;
    if (short) link.setAttribute("href", `/quilts/${counts.quilt}/steps/${short}`);
    else link.removeAttribute("href");
    if (short) link.setAttribute("hx-get", link.getAttribute("href"));
    link.setAttribute("hx-push-url", "true");
  }

  function lastTap(part, step) {
    const form = part.querySelector("form.take-back");
    Object.assign(part.dataset, { gone: counts.gone.join(" "), held: since.length ? "" : counts.held.join(" ") });
    const newest = since.map((tap) => room.ofStep(tap, step.short)).filter((tap) => tap && tap.count > 0).pop();
    const back = newest ? { id: newest.id, times: newest.count, words: `the last ${newest.count}` } : counts.steps[step.short].back;
    const gone = back && since.some((tap) => tap.what === back.id);
    if (!back || gone) {
      delete form.dataset.what;
      return;
    }
    Object.assign(form.dataset, { what: back.id, times: back.times, words: back.words });
    form.querySelector("[name=what]").value = back.id;
  }

  async function turnTo(short, push) {
    if (!has(short)) return false;
    wanted = short;
    const path = `/quilts/${counts.quilt}/steps/${short}`;
    if (push && location.pathname !== path) history.pushState({ htmx: true }, "", path);
    document.title = plan.steps[indexIn(plan, short)].title;
    const screen = document.getElementById("screen");
    await htmx.swap({ sourceElement: screen, text: markup(short), target: screen, swap: "innerHTML show:top" });
    room.show();
    return true;
  }

  // The bar of the step that is open, where what the page holds is no longer enough.
  async function takeOver(part) {
    await room.lifted();
    if (!has(part.dataset.step) || part !== room.live()) return;
    const focused = document.activeElement && part.contains(document.activeElement) ? document.activeElement.id : "";
    const box = document.createElement("template");
    box.innerHTML = bar(part.dataset.step);
    fill(box.content.querySelector("#live"));
    const chain = part.querySelector("#chain");
    if (chain) box.content.querySelector("#chain").setAttribute("value", chain.defaultValue);
    await htmx.swap({ sourceElement: part, text: box.innerHTML, target: part, swap: "outerHTML" });
    if (focused) document.getElementById(focused)?.focus();
  }

  // Links, while the computer is away or slow

  const stepOf = (path) => (/^\/quilts\/([^/]+)\/steps\/([^/]+)$/.exec(path) ?? [])[2];
  const shownStep = () => room.live()?.dataset.step;
  let wanted = "";

  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href]");
    if (!link || event.button || event.metaKey || event.ctrlKey || event.shiftKey || link.origin !== location.origin) return;
    if (link.pathname === location.pathname && link.hash) return;
    const short = stepOf(link.pathname);
    wanted = short ?? "";
    if (!room.away() && !link.closest(".top nav")) {
      if (short && link.hasAttribute("hx-get")) setTimeout(() => late(short), TOO_SLOW);
      return;
    }
    event.preventDefault();
    event.stopPropagation();
    if (short && has(short)) turnTo(short, true);
    else tryToOpen(link);
  }, true);

  function late(short) {
    if (wanted === short && shownStep() !== short) turnTo(short, true);
  }

  // Asked for before it is opened: where nobody answers, the browser would put a page of its own in place of the step.
  async function tryToOpen(link) {
    try {
      const answer = await fetch(link.href, { method: "HEAD", signal: AbortSignal.timeout?.(3000), credentials: "same-origin" });
      if (!room.isOurs(answer.headers)) throw new Error("not ours");
      location.assign(link.href);
    } catch {
      const stays = shownStep() ? "this step goes on without it" : "touch it again when it is back";
      room.complain(`“${link.textContent.trim()}” needs the computer, which does not answer now; ${stays}.`);
    }
  }

  document.addEventListener("htmx:error", (event) => {
    const short = stepOf(new URL(event.detail.ctx?.request?.action ?? "", location.href).pathname);
    if (short && short === wanted && shownStep() !== short) turnTo(short, true);
  });

  // An answer that comes after another step was chosen, or after this one was shown from memory, takes nobody's place.
  document.addEventListener("htmx:before:swap", (event) => {
    const short = stepOf(new URL(event.detail.ctx?.request?.action ?? "", location.href).pathname);
    if (short && event.detail.ctx.target?.id === "screen" && wanted && short !== wanted) event.preventDefault();
  });

  document.addEventListener("htmx:before:history:restore", (event) => {
    const short = stepOf(event.detail.path);
    wanted = short ?? "";
    if (short && room.away() && has(short)) {
      event.preventDefault();
      turnTo(short, false);
    }
  });

  document.addEventListener("htmx:after:swap", soon);
  soon();

  room.ahead = {
    saved: (tap) => { since.push(tap); soon(); },
    has,
    known: (part) => (plan && counts?.quilt === part.dataset.quilt ? { plan, counts, now: reckoned() } : null),
    together,
    onward,
    turn,
    fill: (part) => has(part.dataset.step) && fill(part),
    takeOver,
    load,
    loadMore,
  };
})();

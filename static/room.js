// Tapping, and what the screen shows: the newest counts the computer sent, with the taps still on their way.
"use strict";
(() => {
  const CHAIN = "sewing-room chain ";

  const room = window.sewingRoom;
  if (!room) return;
  const { state, live, keep, kept, waiting } = room;
  const find = (selector) => document.querySelector(selector);
  document.documentElement.classList.add("js");

  // Putting newer parts in place of older ones, never the other way round.

  const former = new Set(); // openings of the folder before this one

  // Where the folder was opened anew, it may have been put back to an older state: what comes is what is there.
  function isOlder(fresh, old) {
    if (fresh.opening === old.opening || !old.opening) return former.has(fresh.opening) || Number(fresh.version) < Number(old.version);
    if (former.has(fresh.opening)) return true;
    former.add(old.opening);
    return false;
  }

  document.addEventListener("htmx:before:swap", (event) => {
    const old = live();
    for (const task of event.detail.tasks) {
      const fresh = task.fragment.querySelector("#live");
      if (!fresh || !old || task.target !== old || fresh.dataset.memory) continue;
      const other = fresh.dataset.view !== old.dataset.view || fresh.dataset.quilt !== old.dataset.quilt;
      if (other || isOlder(fresh.dataset, old.dataset)) event.preventDefault();
    }
  });
  document.addEventListener("htmx:after:swap", () => show());

  function complain(sentence, tap) {
    if (tap && room.atField?.(sentence, tap)) return;
    const faults = find("#faults");
    if ([...faults.children].some((fault) => fault.firstChild.textContent === sentence)) return;
    const fault = document.createElement("p");
    fault.className = "notice fault";
    const button = document.createElement("button");
    button.className = "plain";
    button.textContent = "OK";
    button.addEventListener("click", () => fault.remove());
    const said = document.createElement("span");
    said.textContent = sentence;
    fault.append(said, button);
    faults.append(fault);
  }

  // What is shown while taps are on their way.

  function show() {
    const taps = waiting();
    const { failures } = state;
    sayWhetherSaved(taps);
    tellAside();
    const part = live();
    if (!part || !part.dataset.step) {
      if (part) sent(part);
      if (part) room.goOn?.(part, taps, !failures && taps.length < 2);
    } else if (part.dataset.memory) {
      room.ahead.fill(part);
      count(part, taps);
    } else {
      count(part, taps);
      if (failures > 1 || (failures && ready(part, taps) < 1)) room.ahead?.takeOver(part);
    }
    watch();
  }

  function sayWhetherSaved(taps) {
    const place = find("#saving");
    const aside = room.aside().length;
    const away = state.failures > 1;
    place.className = taps.length && !late() ? "under-way" : taps.length || aside || away ? "unsaved" : "";
    const instead = find("#away [data-instead]:not([data-instead='']):not([hidden])")?.textContent;
    if (!taps.length && aside) say(place, "", "aside", `${many(aside)} kept aside: see why`);
    else if (!taps.length && away) say(place, `${instead ?? "Away from the computer."} Go on: all is kept here.`, "why", "Why?");
    else if (!taps.length) say(place, state.saved ? "✓ Saved" : "");
    else if (!late() || !taps.every(room.held)) say(place, "Saving…");
    else {
      const loose = room.loose() ? "This browser keeps nothing: leave this page open until they are." : "";
      const words = `${many(taps.length)} not saved yet. ${instead ?? state.trouble} ${loose}`.trim();
      if (away) say(place, words, "why", "Why?");
      else say(place, words);
    }
  }

  // Words, and a link to where more is told. What stands there already is not said again.
  function say(place, words, more = "", ask = "") {
    if (`${words}${ask}` === place.textContent) return;
    const said = document.createElement("span");
    said.textContent = words;
    const link = document.createElement("a");
    link.href = `#${more}`;
    link.textContent = ask;
    place.replaceChildren(...(words ? [said] : []), ...(more ? [link] : []));
  }

  // Loaded where there is anything to tell; that is when the computer has just answered.
  function tellAside() {
    const place = find("#aside");
    if (room.tellAside) room.tellAside();
    else if (room.aside().length && place.dataset.script) {
      const script = document.createElement("script");
      script.src = place.dataset.script;
      delete place.dataset.script;
      document.head.append(script);
    }
  }

  const many = (count) => `${count} ${count === 1 ? "tap" : "taps"}`;
  const late = () => Boolean(state.failures || state.trouble);

  // Where a button works once, it rests until the answer has come.
  function sent(part) {
    const form = part.querySelector("form[data-sent]");
    const pending = find("#pending");
    if (pending) {
      pending.hidden = !form;
      pending.textContent = late() ? "not saved yet" : "saving…";
    }
    part.querySelectorAll("[data-once]").forEach((button) => button.setAttribute("aria-disabled", String(Boolean(form))));
  }

  // What has just come under the finger: another step, or a way on from this one. A tap meant for what was there before
  // counts nothing and leads nowhere.

  const JUST_COME = window.justCome ?? 700; // a script that walks a whole quilt need not wait
  let under = null;
  const quiet = { turned: 0, led: 0 };

  function whatIsUnder(part) {
    const leads = [...part.querySelectorAll(".bar .carry-on:not([hidden]), .waiting-for:not([hidden]) a")];
    const counted = part.querySelector("form.one :is([name=step], [name=strip]), .whole-block form.all [name=work]");
    return {
      step: `${part.dataset.view} ${part.dataset.step ?? counted?.value ?? ""}`,
      // Where One more goes, the way on takes its place.
      leads: `${part.querySelectorAll("form:is(.one, .all):not([hidden])").length} ${leads.map((link) => link.getAttribute("href")).join(" ")}`,
    };
  }

  function settle(name) {
    const root = document.documentElement;
    clearTimeout(quiet[name]);
    root.classList.add(name);
    quiet[name] = setTimeout(() => root.classList.remove(name), JUST_COME);
  }

  function watch() {
    const part = live();
    const now = part && part.querySelector(".bar") ? whatIsUnder(part) : null;
    if (now && under && now.step !== under.step) settle("turned");
    if (now && under && now.leads !== under.leads) settle("led");
    under = now;
  }

  window.addEventListener("click", (event) => {
    const is = (name) => document.documentElement.classList.contains(name);
    const near = (selector) => event.target.closest?.(selector);
    const early = (is("turned") && near("#screen") && !near(".turn")) || (is("led") && near(".carry-on, .waiting-for"));
    if (!early) return;
    event.preventDefault();
    event.stopImmediatePropagation();
  }, true);

  // What of a tap concerns a step: a pass counts several.
  const ofStep = (tap, short) => (tap.pass ? tap.pass[short] && { ...tap, ...tap.pass[short] } : tap.step === short && tap);

  function onTheWay(part, taps) {
    return taps.filter((tap) => tap.quilt === part.dataset.quilt).map((tap) => ofStep(tap, part.dataset.step)).filter(Boolean);
  }

  // Blocks of taps on their way, but for those that are taken back on their way too.
  function blocksTaken(own, taps) {
    const back = new Set(taps.map((tap) => tap.what));
    return own.filter((tap) => !back.has(tap.id)).flatMap((tap) => tap.blocks ?? []);
  }

  function freeBlocks(part, taps) {
    const taken = new Set(blocksTaken(onTheWay(part, taps), taps));
    return (part.dataset.blocks ?? "").split(" ").filter((block) => block && !taken.has(block));
  }

  function ready(part, taps) {
    const more = onTheWay(part, taps).reduce((sum, tap) => sum + tap.count, 0);
    const most = Number(part.dataset.ready) - more;
    return part.dataset.blocks === undefined ? most : Math.min(most, freeBlocks(part, taps).length);
  }

  function inTurn(blocks) {
    const [first, ...others] = blocks.slice(0, 6);
    if (!first) return "no further block yet";
    return `block ${first}${others.length ? `, then ${others.join(", ")}` : ""}${blocks.length > 6 ? " …" : ""}`;
  }

  function count(part, taps) {
    const more = onTheWay(part, taps).reduce((sum, tap) => sum + tap.count, 0);
    const left = Math.max(0, ready(part, taps));
    const put = (id, text) => { const place = document.getElementById(id); if (place) place.textContent = text; };
    put("done", Number(part.dataset.done) + more);
    put("ready", left);
    put("counts-for", inTurn(freeBlocks(part, taps)));
    const pending = find("#pending");
    pending.hidden = !more;
    pending.textContent = late() ? "not saved yet" : "saving…";
    if (!((taps.length || part.dataset.memory) && room.ahead?.together(part))) rest(part, taps);
    part.querySelectorAll("[data-go]").forEach((button) => button.setAttribute("aria-disabled", String(left < 1)));
    const chain = find("#chain");
    if (chain) {
      chain.max = Math.max(1, left);
      if (document.activeElement !== chain) chain.value = Math.max(1, Math.min(chainOf(part), left));
    }
    backwards(part, taps);
  }

  // Before the steps ahead are there, nobody can say what a pass holds after a tap: it is not counted twice.
  function rest(part, taps) {
    const back = new Set(taps.map((tap) => tap.what));
    const counted = onTheWay(part, taps).some((tap) => tap.count > 0 && !back.has(tap.id));
    find("#all")?.setAttribute("aria-disabled", String(counted));
  }

  const chainOf = (part) => Number(kept(`${CHAIN}${part.dataset.quilt} ${part.dataset.step}`)) ||
    Number(find("#chain").defaultValue);

  // What was tapped in this window, newest last: a pass leads on to the next step, and is taken back from there.
  const MOST_TAPPED = 30;
  const TAPPED = "sewing-room tapped";
  let tappedHere = [];
  try {
    tappedHere = JSON.parse(sessionStorage.getItem(TAPPED)) ?? [];
  } catch {
    // none is known
  }

  function remember(taps) {
    tappedHere = taps.slice(-MOST_TAPPED);
    try {
      sessionStorage.setItem(TAPPED, JSON.stringify(tappedHere));
    } catch {
      // as long as the page
    }
  }

  function newestHere(part) {
    const back = waiting().map((tap) => tap.what).filter(Boolean);
    const ids = (text) => (text ?? "").split(" ");
    // What rests on a tap may be just what is being taken back.
    const held = back.length ? [] : ids(part.dataset.held);
    const gone = new Set([...room.aside().map((tap) => tap.id), ...back, ...ids(part.dataset.gone), ...held]);
    return tappedHere.filter((tap) => tap.quilt === part.dataset.quilt && !gone.has(tap.id)).pop();
  }

  // The take-back is of the last tap, also while that is still on its way.
  function lastOnTheWay(part, taps) {
    const back = new Set(taps.map((tap) => tap.what));
    return onTheWay(part, taps).filter((tap) => tap.count > 0 && !back.has(tap.id)).pop();
  }

  function backwards(part, taps) {
    const form = find("form.take-back");
    const last = lastOnTheWay(part, taps);
    const here = newestHere(part);
    const known = form.dataset.what && !taps.some((tap) => tap.what === form.dataset.what);
    form.hidden = !last && !known && !here;
    find("#nothing-back").hidden = !form.hidden;
    const onItsWay = here && (here.work || here.id !== form.dataset.what);
    find("#last-tap").textContent = onItsWay ? here.words : last ? `the last ${last.count}` : form.dataset.words;
  }

  // Tapping

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("form[data-tap]")) return;
    event.preventDefault();
    const button = event.submitter ?? form.querySelector("button:not([type=button])");
    if (button.getAttribute("aria-disabled") === "true" || form.dataset.sent) return;
    const fields = new FormData(form);
    if (button.name) fields.set(button.name, button.value);
    if (asksFirst(form, button, fields)) return;
    const tap = tapped(form, fields);
    if (!tap) return;
    if (button.dataset.once !== undefined) form.dataset.sent = "yes";
    room.takeUp(tap.quilt); // what was set aside comes first, or goes aside again with this
    room.add(tap);
    if (form.dataset.turns !== undefined) settle("turned"); // the second touch of two does not count what comes next
    show();
    room.send();
    if (form.dataset.turns !== undefined) room.ahead?.onward(tap);
    else if (tap.back && tap.back !== live().dataset.step) room.ahead?.turn(tap.back, tap);
    if (form.dataset.clear !== undefined) form.reset();
  });

  // More than are needed may be a slip of the finger: asked once.
  function asksFirst({ dataset }, button, fields) {
    const [most, times] = [Number(dataset.most), fields.get("times")];
    if (!(most && Number(times) > most) || dataset.asked === times) return false;
    dataset.words ??= button.textContent;
    dataset.asked = times;
    button.textContent = `${most} ${most === 1 ? "is" : "are"} needed. Set ${times}?`;
    return true;
  }

  // Another number has not been asked about.
  document.addEventListener("input", (event) => {
    const form = event.target.closest("form[data-asked]");
    if (!form || event.target.name !== "times") return;
    delete form.dataset.asked;
    form.querySelector("button").textContent = form.dataset.words;
  });

  function tapped(form, fields) {
    const part = live();
    const taps = waiting();
    const id = room.newId();
    fields.set("tap", id);
    if (document.body.dataset.holder) fields.set("who", document.body.dataset.holder);
    const tap = {
      id, room: document.body.dataset.room, url: form.getAttribute("action"), quilt: part.dataset.quilt,
      step: fields.get("step"), strip: fields.get("strip"), count: 0, title: find("h1")?.textContent.trim(),
    };
    if (fields.get("do") === "pass") {
      if (!fields.get("work")) return null;
      tap.pass = sharesOf(fields.get("work"), 1);
      tap.count = tap.pass[part.dataset.step]?.count ?? 0;
      remember([...tappedHere, { id, quilt: tap.quilt, page: part.dataset.step, words: find("#all-words").textContent, work: fields.get("work") }]);
    } else if (fields.get("do") === "done" && part.dataset.step && tap.step !== part.dataset.step) {
      tap.count = 1; // of another step of the pass
      if (fields.has("blocks")) tap.blocks = fields.get("blocks").split(" ");
    } else if (fields.get("do") === "done" && part.dataset.step) {
      tap.count = Number(fields.get("times") === "chain" ? fields.get("chain") : fields.get("times"));
      if (!(tap.count >= 1 && tap.count <= ready(part, taps))) return null;
      fields.set("times", tap.count);
      if (fields.has("offered")) {
        tap.blocks = freeBlocks(part, taps).slice(0, tap.count);
        fields.delete("offered");
        fields.set("blocks", tap.blocks.join(" "));
      }
    }
    if (fields.get("do") === "take back" && part.dataset.step) {
      const last = lastOnTheWay(part, taps);
      const here = newestHere(part);
      tap.step = part.dataset.step;
      tap.count = -(last ? last.count : Number(form.dataset.times));
      if (last) fields.set("what", last.id);
      if (here) {
        fields.set("what", here.id);
        tap.back = here.page;
        if (here.work) tap.pass = sharesOf(here.work, -1);
        else tap.count = -here.count;
        remember(tappedHere.filter((each) => each !== here));
      }
    }
    if (fields.get("do") === "done" && tap.count && tap.step === part.dataset.step) {
      remember([...tappedHere, { id, quilt: tap.quilt, page: tap.step, words: `the last ${tap.count}`, count: tap.count }]);
    }
    tap.what = fields.get("what") ?? undefined;
    tap.fields = [...fields.entries()];
    return tap;
  }

  // Steps of a pass by their short names, each with how many (less than 0: taken back) and for which blocks.
  function sharesOf(work, sign) {
    const found = {};
    for (const word of work.split(" ")) {
      const [, short, times, runs] = /^([0-9a-z]+)(?:\*(\d+)|@([\d.-]+))$/.exec(word);
      const blocks = runs && window.reckoning.unrolled(runs).map(String);
      found[short] = blocks ? { count: sign * blocks.length, blocks: sign > 0 ? blocks : [] } : { count: sign * Number(times) };
    }
    return found;
  }

  document.addEventListener("click", (event) => {
    const by = event.target.closest("[data-by]");
    if (by) chainBy(Number(by.dataset.by));
  });
  document.addEventListener("input", (event) => {
    if (event.target.id === "chain" && event.target.validity.valid) rememberChain(event.target.value);
  });

  function chainBy(by) {
    const chain = find("#chain");
    const value = Math.max(1, Math.min(Number(chain.max), Number(chain.value || 1) + by));
    chain.value = value;
    rememberChain(value);
  }

  const rememberChain = (value) => keep(`${CHAIN}${live().dataset.quilt} ${live().dataset.step}`, String(value));

  Object.assign(room, { complain, show, onTheWay, blocksTaken, ofStep, many });
  show();
  room.loaded.then(room.start);
})();

// Taps are kept on this device until the computer has them on its disk; every screen shows the newest counts only.
"use strict";
(() => {
  const KEPT = "sewing-room tap ";
  const CHAIN = "sewing-room chain ";
  const SENDER = "sewing-room sender";
  const TIME_OUT = 5000;
  const SHORTEST_PAUSE = 500;
  const LONGEST_PAUSE = 8000;
  const REFUSED = [400, 404, 405, 409, 413];
  const TURN = 6500; // how long one page of this device may keep the sending to itself

  const room = window.sewingRoom = {};
  const find = (selector) => document.querySelector(selector);
  const live = () => document.getElementById("live");
  document.documentElement.classList.add("js");

  // What this device keeps. Where the browser keeps nothing (a private window, a full disk), memory must do.

  const memory = new Map();

  function keep(key, value) {
    try {
      localStorage.setItem(key, value);
    } catch {
      memory.set(key, value);
    }
  }

  function kept(key) {
    try {
      return memory.get(key) ?? localStorage.getItem(key);
    } catch {
      return memory.get(key) ?? null;
    }
  }

  function forget(key) {
    memory.delete(key);
    try {
      localStorage.removeItem(key);
    } catch {
      // nothing was kept there
    }
  }

  function keys() {
    const found = new Set(memory.keys());
    try {
      for (let i = 0; i < localStorage.length; i += 1) found.add(localStorage.key(i));
    } catch {
      // memory alone
    }
    return [...found];
  }

  function newId() {
    const bytes = crypto.getRandomValues(new Uint8Array(12));
    return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  }

  // The queue: a key for each tap, so that two pages of this device never write over each other.

  function waiting() {
    return keys().filter((key) => key.startsWith(KEPT)).sort()
      .map((key) => ({ key, ...JSON.parse(kept(key)) }));
  }

  function queue(tap) {
    const newest = waiting().pop();
    const after = newest ? Number(newest.key.slice(KEPT.length).split(" ")[0]) + 1 : 0;
    const time = String(Math.max(Date.now(), after)).padStart(15, "0");
    keep(`${KEPT}${time} ${tap.id}`, JSON.stringify(tap));
    show();
    send();
  }

  let sending = false;
  let failures = 0;
  let saved = false;
  let trouble = "";
  let hurry = () => {};
  const me = newId();

  const pause = (time) => new Promise((done) => {
    const timer = setTimeout(done, time);
    hurry = () => { clearTimeout(timer); done(); };
  });

  function ourTurn() {
    const [who, until] = (kept(SENDER) ?? "").split(" ");
    if (who && who !== me && Number(until) > Date.now() && Number(until) < Date.now() + 2 * TURN) return false;
    keep(SENDER, `${me} ${Date.now() + TURN}`);
    return true;
  }

  async function send() {
    if (sending) return;
    sending = true;
    let wait = SHORTEST_PAUSE;
    for (let tap = waiting()[0]; tap; tap = waiting()[0]) {
      if (!ourTurn()) {
        await pause(SHORTEST_PAUSE);
      } else if (await post(tap)) {
        wait = SHORTEST_PAUSE;
      } else {
        show();
        await pause(wait);
        wait = Math.min(2 * wait, LONGEST_PAUSE);
      }
    }
    sending = false;
    if ((kept(SENDER) ?? "").startsWith(me)) forget(SENDER);
    show();
  }

  // Send one tap. True: it is settled, saved or refused. False: try again.
  async function post(tap) {
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), TIME_OUT);
    const shown = live();
    const body = new URLSearchParams(tap.fields);
    body.set("view", shown && shown.dataset.quilt === tap.quilt ? shown.dataset.view : "");
    try {
      const answer = await fetch(tap.url, {
        method: "POST", body, signal: stop.signal, credentials: "same-origin",
        headers: { "HX-Request": "true", "HX-Request-Type": "partial" },
      });
      const text = await answer.text();
      reached(true);
      if (answer.ok) {
        forget(tap.key);
        room.ahead?.saved(tap);
        saved = true;
        trouble = "";
        await apply(text);
        show();
        if (tap.fields.some(([name, value]) => name === "do" && value === "measured")) find("#step-size")?.scrollIntoView();
        return true;
      }
      if (REFUSED.includes(answer.status)) {
        forget(tap.key);
        complain(text);
        again();
        show();
        return true;
      }
      trouble = words(text);
      return false;
    } catch {
      reached(false);
      return false;
    } finally {
      clearTimeout(timer);
    }
  }

  const again = () => document.querySelectorAll("form[data-sent]").forEach((form) => form.removeAttribute("data-sent"));

  // Putting newer parts in place of older ones, never the other way round.

  async function apply(text) {
    if (text && live()) {
      await htmx.swap({ sourceElement: live(), text, target: live(), swap: live().getAttribute("hx-swap") });
    }
  }

  document.addEventListener("htmx:before:swap", (event) => {
    const old = live();
    for (const task of event.detail.tasks) {
      const fresh = task.fragment.querySelector("#live");
      if (!fresh || !old || task.target !== old || fresh.dataset.memory) continue;
      const other = fresh.dataset.view !== old.dataset.view || fresh.dataset.quilt !== old.dataset.quilt;
      if (other || Number(fresh.dataset.version) < Number(old.dataset.version)) event.preventDefault();
    }
  });
  document.addEventListener("htmx:after:swap", () => show());

  // Whether the computer answers.

  function reached(answers) {
    failures = answers ? 0 : failures + 1;
    find("#away").hidden = failures < 2;
    if (answers) hurry();
  }

  const polled = (event) => event.detail.ctx && event.detail.ctx.request.method === "GET";
  document.addEventListener("htmx:after:request", (event) => { if (polled(event)) { reached(true); show(); } });
  document.addEventListener("htmx:error", (event) => { if (polled(event)) { reached(false); show(); } });
  document.addEventListener("htmx:response:error", (event) => complain(event.detail.ctx.text));

  function wake() {
    if (document.visibilityState === "hidden") return;
    hurry();
    send();
    if (window.htmx) htmx.trigger(document.body, "wake");
  }
  document.addEventListener("visibilitychange", wake);
  window.addEventListener("online", wake);
  window.addEventListener("pageshow", (event) => { if (event.persisted) wake(); });
  window.addEventListener("pagehide", () => { if ((kept(SENDER) ?? "").startsWith(me)) forget(SENDER); });
  window.addEventListener("storage", () => show());
  window.addEventListener("beforeunload", (event) => {
    if (failures > 1 || (failures && waiting().length)) event.preventDefault(); // while it is off, no page can be opened
  });

  const words = (text) => new DOMParser().parseFromString(text, "text/html").body.textContent.trim();

  function complain(text) {
    const sentence = words(text);
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
    const state = find("#saving");
    state.className = taps.length ? (failures || trouble ? "unsaved" : "under-way") : "";
    const many = `${taps.length} ${taps.length === 1 ? "tap" : "taps"}`;
    if (taps.length) state.textContent = failures || trouble ? `${many} not saved yet. ${trouble}` : "Saving…";
    else state.textContent = saved ? "✓ Saved" : "";
    const part = live();
    if (!part || !part.dataset.step) {
      if (part) sent(part);
      if (part && (failures || taps.length > 1)) room.strips?.goOn(part, taps);
    } else if (part.dataset.memory) {
      room.ahead.fill(part);
      count(part, taps);
    } else {
      count(part, taps);
      if (failures > 1 || (failures && ready(part, taps) < 1)) room.ahead?.takeOver(part);
    }
    watch();
  }

  // Where a button works once, it rests until the answer has come.
  function sent(part) {
    const form = part.querySelector("form[data-sent]");
    const pending = find("#pending");
    if (pending) {
      pending.hidden = !form;
      pending.textContent = failures || trouble ? "not saved yet" : "saving…";
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
    return {
      step: `${part.dataset.view} ${part.dataset.step ?? part.querySelector("form.one :is([name=step], [name=strip])")?.value ?? ""}`,
      // Where One more goes, the way on takes its place.
      leads: `${part.querySelectorAll("form.one:not([hidden])").length} ${leads.map((link) => link.getAttribute("href")).join(" ")}`,
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

  function onTheWay(part, taps) {
    return taps.filter((tap) => tap.quilt === part.dataset.quilt && tap.step === part.dataset.step);
  }

  function freeBlocks(part, taps) {
    const taken = new Set(onTheWay(part, taps).flatMap((tap) => tap.blocks ?? []));
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
    put("all-count", left);
    put("counts-for", inTurn(freeBlocks(part, taps)));
    const pending = find("#pending");
    pending.hidden = !more;
    pending.textContent = failures || trouble ? "not saved yet" : "saving…";
    part.querySelectorAll("[data-go]").forEach((button) => button.setAttribute("aria-disabled", String(left < 1)));
    const chain = find("#chain");
    if (chain) {
      chain.max = Math.max(1, left);
      if (document.activeElement !== chain) chain.value = Math.max(1, Math.min(chainOf(part), left));
    }
    backwards(part, taps);
  }

  const chainOf = (part) => Number(kept(`${CHAIN}${part.dataset.quilt} ${part.dataset.step}`)) ||
    Number(find("#chain").defaultValue);

  // The take-back is of the last tap, also while that is still on its way.
  function lastOnTheWay(part, taps) {
    const back = new Set(taps.map((tap) => tap.what));
    return onTheWay(part, taps).filter((tap) => tap.count > 0 && !back.has(tap.id)).pop();
  }

  function backwards(part, taps) {
    const form = find("form.take-back");
    const last = lastOnTheWay(part, taps);
    const known = form.dataset.what && !taps.some((tap) => tap.what === form.dataset.what);
    form.hidden = !last && !known;
    find("#nothing-back").hidden = !form.hidden;
    find("#last-tap").textContent = last ? `the last ${last.count}` : form.dataset.words;
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
    const tap = tapped(form, fields);
    if (!tap) return;
    if (button.dataset.once !== undefined) form.dataset.sent = "yes";
    queue(tap);
    if (form.dataset.clear !== undefined) form.reset();
  });

  function tapped(form, fields) {
    const part = live();
    const taps = waiting();
    const id = newId();
    fields.set("tap", id);
    const tap = { id, url: form.getAttribute("action"), quilt: part.dataset.quilt, step: fields.get("step"), strip: fields.get("strip"), count: 0 };
    if (fields.get("do") === "done" && part.dataset.step) {
      tap.count = Number(fields.get("times") === "chain" ? fields.get("chain") : fields.get("times"));
      if (form.matches(".all")) tap.count = ready(part, taps);
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
      if (last) fields.set("what", last.id);
      tap.step = part.dataset.step;
      tap.count = -(last ? last.count : Number(form.dataset.times));
    }
    tap.what = fields.get("what") ?? undefined;
    tap.fields = [...fields.entries()];
    return tap;
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

  Object.assign(room, { keep, kept, complain, live, show, waiting, onTheWay, away: () => failures > 0 || navigator.onLine === false });
  show();
  if (waiting().length) send();
})();

// Sending taps, one after another: a tap is forgotten only when an answer of this room names it. Other programs may
// answer at the same address (a guest network's sign-in page), or a sewing room with another folder.
"use strict";
(() => {
  const ROOM = "Sewing-Room";
  const TAP = "Sewing-Room-Tap";
  const SEEN = "Sewing-Room-Seen";
  const DEVICE = "sewing-room device";
  const SENDER = "sewing-room sender";
  const SAVED = "sewing-room saved";
  const TIME_OUT = 5000;
  const SHORTEST_PAUSE = 500;
  const LONGEST_PAUSE = 8000;
  const TURN = 6500; // how long one page of this device may keep the sending to itself

  const room = window.sewingRoom;
  if (!room) return;
  const find = (selector) => document.querySelector(selector);
  const live = () => document.getElementById("live");
  const words = (text) => new DOMParser().parseFromString(text, "text/html").body.textContent.trim();
  const me = room.newId();
  const state = room.state = { failures: 0, saved: wasSaved(), trouble: "" };

  // What comes while a finger is down waits until it is up: a button that was replaced under it would not be pressed.
  const LONGEST_TOUCH = 10000; // should its end ever be missed
  const PRESSED = 60; // after a finger is up the press comes
  let down = null; // a promise that it is up
  let lift = () => {};
  window.addEventListener("pointerdown", () => {
    const touch = down = new Promise((done) => { lift = done; setTimeout(done, LONGEST_TOUCH); });
    touch.then(() => { if (down === touch) down = null; });
  }, true);
  for (const end of ["pointerup", "pointercancel"]) window.addEventListener(end, () => setTimeout(lift, PRESSED), true);

  let sending = false;
  let hurry = () => {};

  const pause = (time) => new Promise((done) => {
    const timer = setTimeout(done, time);
    hurry = () => { clearTimeout(timer); done(); };
  });

  // A page that a saved tap led to says so, as one that turns without the computer does.
  function wasSaved() {
    try {
      const was = sessionStorage.getItem(SAVED) !== null;
      sessionStorage.removeItem(SAVED);
      return was;
    } catch {
      return false;
    }
  }

  // A name of its own for each device: what it tapped is in order, if its clock runs.
  function device() {
    if (!room.kept(DEVICE)) room.keep(DEVICE, me);
    return room.kept(DEVICE);
  }

  function ourTurn() {
    const [who, until] = (room.kept(SENDER) ?? "").split(" ");
    if (who && who !== me && Number(until) > Date.now() && Number(until) < Date.now() + 2 * TURN) return false;
    room.keep(SENDER, `${me} ${Date.now() + TURN}`);
    return true;
  }

  function endTurn() {
    if ((room.kept(SENDER) ?? "").startsWith(me)) room.forget(SENDER);
  }

  async function send() {
    if (sending) return;
    sending = true;
    await room.loaded;
    let wait = SHORTEST_PAUSE;
    for (let tap = room.waiting()[0]; tap; tap = room.waiting()[0]) {
      if (!ourTurn()) {
        await pause(SHORTEST_PAUSE);
      } else if (await post(tap)) {
        wait = SHORTEST_PAUSE;
      } else {
        room.show();
        await pause(wait);
        wait = Math.min(2 * wait, LONGEST_PAUSE);
      }
    }
    sending = false;
    endTurn();
    room.show();
  }

  // Send one tap. True: it is settled, saved or refused or set aside. False: try again.
  async function post(tap) {
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), TIME_OUT);
    const body = new URLSearchParams(tap.fields);
    if (tap.tapped) body.set("waited", String(Math.round((Date.now() - tap.tapped) / 1000)));
    body.set("device", device());
    body.set("view", live()?.dataset.quilt === tap.quilt ? live().dataset.view : "");
    try {
      const answer = await fetch(tap.url, {
        method: "POST", body, signal: stop.signal, credentials: "same-origin",
        headers: { "HX-Request": "true", "HX-Request-Type": "partial", [TAP]: tap.id, [ROOM]: tap.room ?? document.body.dataset.room },
      });
      const text = await answer.text();
      return isOurs(answer.headers) && await settle(tap, answer, text);
    } catch {
      reached(false);
      return false;
    } finally {
      clearTimeout(timer);
    }
  }

  // Whether it is this room that answers.
  function isOurs(headers) {
    const name = headers.get(ROOM);
    reached(name === document.body.dataset.room, name ? "room" : "program");
    return name === document.body.dataset.room;
  }

  async function settle(tap, answer, text) {
    const [became, name] = (answer.headers.get(TAP) ?? "").split(" ");
    state.trouble = name === tap.id ? "" : words(text);
    if (name !== tap.id) return false;
    if (became === "kept") {
      await saved(tap, answer.ok ? text : "");
    } else if (became === "refused") {
      room.done(tap);
      room.complain(words(text), tap);
    } else {
      setAside(tap, { why: became, words: words(text), asks: answer.headers.has(SEEN) }, answer.headers.get(SEEN));
    }
    if (became !== "kept") document.querySelectorAll("form[data-sent]").forEach((form) => form.removeAttribute("data-sent"));
    room.show();
    return true;
  }

  async function saved(tap, text) {
    await down;
    room.done(tap);
    room.ahead?.saved(tap);
    state.saved = true;
    // The first page was made before what the phone had kept came in.
    const older = find(".quilt-card") && !room.waiting().length && "/";
    const onward = live()?.dataset.quilt === tap.quilt ? tap.leads : older;
    if (onward) {
      try {
        sessionStorage.setItem(SAVED, "yes");
      } catch {
        // then the page that it leads to does not say it
      }
      location.assign(onward);
      return;
    }
    if (text && live()) {
      await htmx.swap({ sourceElement: live(), text, target: live(), swap: live().getAttribute("hx-swap") });
    }
    if (tap.fields.some(([name, value]) => name === "do" && value === "measured")) find("#step-size")?.scrollIntoView();
  }

  // Where the quilt itself is gone, what follows for it goes along, so that all comes back in order.
  function setAside(tap, reason, seen) {
    const others = reason.why === "gone" ? room.waiting().filter((each) => each.quilt === tap.quilt) : [];
    if (seen !== null) tap.fields = [...tap.fields.filter(([name]) => name !== "seen"), ["seen", seen]];
    for (const each of new Set([tap, ...others])) room.setAside(each, reason);
  }

  // The quilt of this page is there (again).
  function takeUp(quilt) {
    const back = room.aside().filter((tap) => tap.aside?.why === "gone" && tap.quilt === quilt);
    back.forEach((tap) => room.setAside(tap));
    if (back.length) send();
  }

  // Whether the computer answers; where something else does, what: another program, or another room.

  function reached(answers, instead = "") {
    state.failures = answers ? 0 : state.failures + 1;
    find("#away").hidden = state.failures < 2;
    document.querySelectorAll("#away [data-instead]").forEach((each) => {
      each.hidden = each.dataset.instead !== (answers ? "" : instead);
    });
    if (answers) hurry();
  }

  const polled = (event) => event.detail.ctx && event.detail.ctx.request.method === "GET";
  document.addEventListener("htmx:before:response", (event) => {
    const ours = isOurs(event.detail.ctx.response.headers);
    if (ours && !(down && polled(event) && event.detail.ctx.target === live())) return;
    event.preventDefault(); // nothing of it stands in this page; of ours it comes again
    if (ours) return;
    room.show();
  });
  document.addEventListener("htmx:after:request", (event) => {
    if (!polled(event)) return;
    if (event.detail.ctx.response.status < 400 && live()) takeUp(live().dataset.quilt);
    room.show();
  });
  document.addEventListener("htmx:error", (event) => { if (polled(event)) { reached(false); room.show(); } });
  document.addEventListener("htmx:response:error", (event) => room.complain(words(event.detail.ctx.text)));

  function wake() {
    if (document.visibilityState === "hidden") return;
    hurry();
    send();
    if (window.htmx) htmx.trigger(document.body, "wake");
  }
  document.addEventListener("visibilitychange", wake);
  window.addEventListener("online", wake);
  window.addEventListener("pageshow", (event) => { if (event.persisted) room.refresh().then(wake); });
  window.addEventListener("pagehide", endTurn);
  window.addEventListener("beforeunload", (event) => {
    const { failures } = state;
    if (failures > 1 || (failures && room.waiting().length)) event.preventDefault(); // while it is off, no page can be opened
  });

  function start() {
    if (live()) takeUp(live().dataset.quilt);
    if (room.waiting().length) send();
  }

  Object.assign(room, { lifted: () => down, isOurs, send, takeUp, live, start, away: () => state.failures > 0 || navigator.onLine === false });
})();

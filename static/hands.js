// Hands on the cloth: keys and pedals, reading aloud, the screen kept awake, and what this device remembers about hands.
"use strict";
(() => {
  const room = window.sewingRoom;
  if (!room) return;
  const SETTING = "sewing-room hands ";
  const HINT_SHOWN = `${SETTING}hint`;
  const LONG_ASLEEP = 3000; // shorter looks away are no sign of a screen that went out

  const find = (selector) => document.querySelector(selector);
  const isOn = (name) => room.kept(SETTING + name) === "on";
  const step = () => find("#screen > .step");

  // Settings of this device

  function apply() {
    document.documentElement.classList.toggle("left-hand", isOn("left"));
    document.querySelectorAll("[data-setting]").forEach((button) =>
      button.setAttribute("aria-pressed", String(isOn(button.dataset.setting))));
  }

  document.addEventListener("click", (event) => {
    const near = (selector) => event.target.closest?.(selector);
    const setting = near("[data-setting]");
    if (setting) {
      room.keep(SETTING + setting.dataset.setting, isOn(setting.dataset.setting) ? "off" : "on");
      apply();
    }
    if (near("[data-opens=hands]")) find("#hands")?.showModal();
    if (near("[data-closes]")) find("#hands")?.close();
    if (near(".step .picture") || near("[data-enlarges]")) enlarge();
    if (near("[data-fraction]")) fraction(near("[data-fraction]"));
    if (near("[data-read]")) speaking() ? speechSynthesis.cancel() : read();
  });

  // A drawing that fills the screen; any touch or key puts it away.

  function enlarge() {
    const drawing = find(".step .picture svg");
    if (!drawing) return;
    const sheet = document.createElement("dialog");
    sheet.id = "enlarged";
    sheet.tabIndex = -1;
    sheet.setAttribute("aria-label", "The drawing, filling the screen");
    sheet.append(drawing.cloneNode(true));
    sheet.querySelectorAll("text").forEach((letters) => letters.removeAttribute("display"));
    sheet.addEventListener("click", () => sheet.close());
    sheet.addEventListener("keydown", () => sheet.close());
    sheet.addEventListener("close", () => sheet.remove());
    document.body.append(sheet);
    sheet.showModal();
  }

  // Letters that are drawn too small to be read are left out; the large drawing has them.

  const LEAST = 9; // pixels
  function legible() {
    document.querySelectorAll(".step .picture svg.drawing").forEach((drawing) => {
      const box = drawing.getBoundingClientRect();
      const { width, height } = drawing.viewBox.baseVal;
      const scale = Math.min(box.width / width, box.height / height);
      drawing.querySelectorAll("text").forEach((letters) => {
        letters.toggleAttribute("display", false);
        if (letters.getAttribute("font-size") * scale < LEAST) letters.setAttribute("display", "none");
      });
    });
  }
  document.addEventListener("htmx:after:swap", legible);
  window.addEventListener("resize", legible);

  // A caution that was in sight here within the last hours is folded to its line; never gone. What to take lies open
  // where there is room for it.

  const READ = `${SETTING}read `;
  const LATELY = 8 * 3600e3;
  const roomy = matchMedia("(min-width: 46em)");
  const watched = new IntersectionObserver((seen) => seen.forEach(({ isIntersecting, target }) => {
    const key = READ + target.textContent.trim().slice(0, 40);
    if (isIntersecting && target.closest("details").open) room.keep(key, String(Date.now()));
  }), { threshold: 1 });

  function fold() {
    document.querySelectorAll("details.caution:not([data-known], .show-page *)").forEach((caution) => {
      const words = caution.querySelector("p");
      caution.dataset.known = "yes";
      caution.open = Date.now() - Number(room.kept(READ + words.textContent.trim().slice(0, 40)) ?? 0) > LATELY;
      watched.observe(words);
    });
    document.querySelectorAll(".take-all:not([data-known])").forEach((list) => {
      list.dataset.known = "yes";
      list.open = roomy.matches;
    });
  }
  document.addEventListener("htmx:after:swap", fold);

  // Reading aloud

  const canSpeak = "speechSynthesis" in window;
  const speaking = () => speechSynthesis.speaking || speechSynthesis.pending;

  function said() {
    const parts = ["h1", ".size", ".takes", ".words > p:not(.check)", ".check", ".caution > p"];
    return parts.flatMap((part) => [...step().querySelectorAll(part)])
      .map((each) => [...each.querySelectorAll("li")].map((item) => item.textContent).join(". ") || each.textContent)
      .map((text) => text.replace(/\s+/g, " ").replaceAll(" × ", " by ").replace(/([\d½¼¾⅛⅜⅝⅞]) in\b/g, "$1 inches").trim())
      .join(". ").replace(/([.:?!])\./g, "$1");
  }

  function read() {
    if (!canSpeak || !step()) return;
    speechSynthesis.cancel();
    const words = new SpeechSynthesisUtterance(said());
    words.lang = "en";
    speechSynthesis.speak(words);
  }

  let shown = "";
  function turned() {
    const now = step() ? room.live()?.dataset.step ?? "" : "";
    if (now !== shown && isOn("read")) read();
    else if (now !== shown && canSpeak && speaking()) speechSynthesis.cancel();
    shown = now;
  }
  document.addEventListener("htmx:after:swap", turned);

  // Fractions under the finger: with them the keyboard for numbers is enough.

  let written = null;
  document.addEventListener("focusin", (event) => { if (event.target.matches?.("input.length")) written = event.target; });

  function fraction(button) {
    const fields = [...button.closest("form").querySelectorAll("input.length")];
    const field = fields.includes(written) ? written : fields.find((each) => !each.value) ?? fields[0];
    field.value = field.value.trim().replace(/\s*[½¼¾⅛⅜⅝⅞]$/, "") + button.textContent;
    field.focus();
  }

  function numbersEnough() {
    const forms = new Set([...document.querySelectorAll("form [data-fraction]")].map((button) => button.closest("form")));
    forms.forEach((form) => form.querySelectorAll("input.length").forEach((field) => { field.inputMode = "decimal"; }));
  }
  document.addEventListener("htmx:after:swap", numbersEnough);

  // Keys and pedals. Whoever types, chooses in a list or has a sheet open keeps the keys.

  const OWN_KEYS = "input, textarea, select, summary, [contenteditable], dialog[open] *";
  const touch = (selector) => { const found = find(selector); if (found) found.click(); return Boolean(found); };
  const before = () => touch("a.turn[aria-label^='Pass before']");
  const after = () => touch("a.turn[aria-label^='Next pass']");
  const takeBack = () => touch("form.take-back:not([hidden]) #take-back");

  // One more; where nothing lies ready, on to the pass's next step, or to what comes next, unless that has just come.
  function onward() {
    if (touch(".bar #one:not([aria-disabled=true])") || document.documentElement.classList.contains("led")) return true;
    const step = find(".of-pass .row form")?.closest(".row").querySelector("a");
    step?.click();
    return Boolean(step) || touch(".bar a.carry-on:not([hidden])");
  }

  document.addEventListener("keydown", (event) => {
    if (!find("#live[data-step]") || event.ctrlKey || event.altKey || event.metaKey || event.shiftKey) return;
    if (event.target.closest?.(OWN_KEYS)) return;
    const act = meaning(event.key, event.target);
    if (!act || scrolls(event.key)) return;
    event.preventDefault();
    if (!event.repeat) act();
  });

  // Where pedals count, up and down scroll as long as the page goes on there; else its next and last page do.
  function scrolls(key) {
    const page = document.scrollingElement;
    const [down, up] = isOn("pedals") ? ["ArrowDown", "ArrowUp"] : ["PageDown", "PageUp"];
    if (key === down) return page.scrollTop + page.clientHeight < page.scrollHeight - 2;
    return key === up && page.scrollTop > 2;
  }

  function meaning(key, target) {
    const counting = isOn("pedals");
    switch (key) {
      case "ArrowRight": case "PageDown": return counting ? onward : after;
      case "ArrowLeft": case "PageUp": return counting ? takeBack : before;
      case "ArrowDown": return counting ? onward : null;
      case "ArrowUp": return counting ? takeBack : null;
      case "Backspace": return takeBack;
      case " ": case "Enter": return target.closest?.("a, button:not(#one)") ? null : onward; // those have their own answer
    }
    return null;
  }

  // The screen kept awake, where the browser can; elsewhere said once, when the screen has gone out for the first time.

  const canStayAwake = "wakeLock" in navigator;
  let lock = null;
  let asleepSince = 0;

  async function stayAwake() {
    if (!canStayAwake || !step() || lock || document.visibilityState === "hidden") return;
    try {
      lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => { lock = null; });
    } catch {
      lock = null; // low battery: the device decides
    }
  }

  function hint() {
    const place = find("#hint");
    if (!place || canStayAwake || !step() || room.kept(HINT_SHOWN) || !matchMedia("(pointer: coarse)").matches) return;
    room.keep(HINT_SHOWN, "yes");
    place.hidden = false;
  }

  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") {
      asleepSince = Date.now();
      return;
    }
    if (asleepSince && Date.now() - asleepSince > LONG_ASLEEP) hint();
    stayAwake();
  });
  document.addEventListener("htmx:after:swap", stayAwake);

  if (canSpeak) document.documentElement.classList.add("can-speak");
  if (canStayAwake) document.documentElement.classList.add("stays-awake");
  find("#hint button")?.addEventListener("click", () => { find("#hint").hidden = true; });
  apply();
  fold();
  legible();
  numbersEnough();
  turned();
  stayAwake();
})();

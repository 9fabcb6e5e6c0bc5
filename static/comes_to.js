// What a drawn quilt comes to: asked of the computer as it is drawn, shown with its picture, figures and faults.
"use strict";
(() => {
  const room = window.sewingRoom;
  if (!room) return;
  const { paint, forms } = room;
  const find = (selector) => document.querySelector(selector);
  const place = find("#drawing");
  const AT_REST = 1500; // milliseconds until the proof is asked for
  const AWAY = 3000; // until the computer is asked again where it does not answer

  let page = null;
  let seenNow = { state: "", faults: [], sizes: {}, figures: {}, notices: [] };
  let faultSaid = ""; // below the board, as long as it is true
  let asked = 0, waitingLook = null, waitingProof = null, under = null;

  // Nothing more is asked until something changes: what is being made must not be broken off by a look.
  function rest() {
    clearTimeout(waitingLook);
    clearTimeout(waitingProof);
    asked += 1;
    under?.abort();
  }

  function lookSoon(pause) {
    rest();
    find("#proof").textContent = "";
    waitingLook = setTimeout(look, pause, asked, "");
  }

  function form(more) {
    const body = new FormData();
    body.set("sheet", JSON.stringify(page.sheet));
    body.set("former", formerText());
    body.set("looker", place.dataset.looker);
    for (const [name, value] of Object.entries(more)) body.set(name, value);
    return body;
  }

  const formerText = () => find("[name=former]").value;

  async function send(path, more, signal) {
    const answer = await fetch(path, { method: "POST", body: form(more), signal });
    return answer.status === 204 ? null : answer.json();
  }

  function ask(path, more = {}) {
    under?.abort();
    under = new AbortController();
    return send(path, more, under.signal);
  }

  function make() {
    rest();
    return send("/draw/make", { wanted: place.dataset.wanted });
  }

  async function look(number, again) {
    try {
      const found = await ask("/draw/look", again ? { again } : {});
      if (number !== asked) return;
      if (found) seeResult(found);
      if (!found || found.state === "under way") waitingLook = setTimeout(look, 250, number, (found ?? seenNow).drawing ? "picture" : "nothing");
      else if (found.state === "made") waitingProof = setTimeout(prove, AT_REST, number, false);
    } catch (fault) {
      if (number !== asked || fault.name === "AbortError") return;
      find("#look-state").textContent = "The computer does not answer. Draw on: all is kept here, and what it comes to follows when it is back.";
      waitingLook = setTimeout(look, AWAY, number, "");
    }
  }

  async function prove(number) {
    try {
      const found = await ask("/draw/proof");
      if (number !== asked) return;
      if (found.state === "under way") waitingProof = setTimeout(prove, 500, number);
      else if (found.state === "done") {
        find("#proof").className = found.fault ? "notice" : "finished";
        find("#proof").textContent = found.fault || `✓ Proved: its ${found.steps} steps were sewn on exact cloth, and show the picture.`;
      }
    } catch {
      // asked for again with the next look
    }
  }

  const STATES = {
    "under way": "Being worked out …", made: "✓ This can be sewn.", "too long": "Too large to be worked out while you draw; it is when it is made.",
    broken: "This could not be worked out; the log says more.",
  };

  function seeResult(found) {
    const sized = Object.keys(found.sizes ?? {}).length || found.faults?.length; // with a mistake no former size is true
    const beside = () => JSON.stringify([seenNow.sizes, seenNow.faults, seenNow.figures.upright]);
    const former = beside();
    seenNow = {
      ...found, faults: found.faults ?? [], notices: found.notices ?? [], sizes: sized ? found.sizes ?? {} : seenNow.sizes,
      figures: found.state === "made" ? found.figures : seenNow.figures, drawing: found.drawing || seenNow.drawing,
    };
    const many = seenNow.faults.length;
    find("#look-state").textContent = many ? `${many === 1 ? "One thing stands" : `${many} things stand`} in the way:` : STATES[found.state] ?? "";
    find("#look-state").classList.toggle("finished", found.state === "made");
    showPicture();
    find("#quilt-picture").classList.toggle("stale", Boolean(many));
    showFaults();
    find("#figures").hidden = Boolean(many);
    if (found.state === "made") showFigures(found);
    page.showBoard();
    if (beside() !== former) page.formsLater();
  }

  // In greys where that is how she looks at it: the picture's cloths are told by their colours.
  function showPicture() {
    let picture = seenNow.drawing ?? "";
    if (page.seen === "greys") {
      for (const cloth of page.sheet.cloths) {
        picture = picture.replaceAll(`fill="${String(paint.colourOf(cloth)).toLowerCase()}"`, `fill="${page.painted.get(cloth.key).colour}"`);
      }
    }
    find("#quilt-picture").innerHTML = picture;
  }

  function showFaults() {
    find("#faults-drawn").replaceChildren(...seenNow.faults.map((fault) => {
      const at = page.sheet.blocks.findIndex((block) => block.key === fault.block);
      const part = at >= 0 ? "block" : fault.key.startsWith("fabrics") ? "cloths" : fault.key.includes("quilt") ? "quilt" : "";
      const shown = part && forms.button("Show", () => { page.go(part); page.turnTo(Math.max(at, 0)); });
      return forms.el("li", {}, forms.el("span", {}, fault.words), shown || null);
    }));
    const here = page.faultsHere(page.sheet.blocks[page.block]);
    const said = find("#said");
    if (here.length || said.textContent === faultSaid) said.textContent = faultSaid = here[0]?.words ?? "";
    place.classList.toggle("has-faults", Boolean(seenNow.faults.length));
    find("[data-go=make]").classList.toggle("warns", Boolean(seenNow.faults.length));
  }

  function showFigures({ figures, notices }) {
    const names = new Map(page.sheet.cloths.map((cloth) => [cloth.key, cloth.name ?? cloth.key]));
    const line = (words, value, more) => [forms.el("dt", {}, words), forms.el("dd", {}, value, more ? forms.el("small", {}, ` ${more}`) : null)];
    find("#figures").replaceChildren(forms.el("dl", { class: "figures" },
      line("Finished", figures.size || figures.fault, figures.unfinished ? `(top before binding ${figures.unfinished})` : ""),
      line("To cut", `${figures.pieces} pieces`), line("Passes", `${figures.passes}`, `(${figures.steps} steps)`), line("Time", figures.time)),
    forms.el("ul", { class: "bought" }, figures.cloths.map(({ key, buy, whole }) => forms.el("li", {},
      forms.svg(paint.patchSvg({ down: 1, across: 1, quarters: Array(4).fill(key) }, page.painted), { class: "small-block" }), forms.el("span", {}, `${names.get(key) ?? key}: `, forms.el("b", {}, whole), buy === whole ? "" : buy ? `, ${buy} of it to buy` : ", all in the cupboard")))),
    figures.upright ? forms.el("p", { class: "advice" }, figures.upright) : "",
    notices.length ? forms.el("details", { id: "notices", open: page.open.has("notices"), ontoggle: (event) => page.opened(event.target) },
      forms.el("summary", {}, `Worth knowing: ${notices.length}`), notices.map((notice) => forms.el("p", { class: "advice" }, notice))) : "");
  }

  // page: the drawing's own (see draw.js).
  room.comesTo = {
    begin: (drawn) => { page = drawn; }, seen: () => seenNow, lookSoon, make, formerText, showPicture,
  };
})();

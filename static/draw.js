// The page that a quilt is drawn on: what is in the hand, what is drawn so far, what it comes to, and that it is kept.
"use strict";
(() => {
  const room = window.sewingRoom;
  if (!room) return;
  const { squares, sheet: sheets, paint, forms } = room;
  const { seen, lookSoon, make: made, formerText, showPicture } = room.comesTo;
  const find = (selector) => document.querySelector(selector);
  const place = find("#drawing");
  const AT_ONCE = 60; // milliseconds from a change until the computer is asked what it comes to

  const KEPT = "Kept on this device as you draw.";

  const start = JSON.parse(place.dataset.sheet);
  let history = squares.begun(start);
  let draft = null;
  let stroke = null; // the picture while a patch is drawn over cells
  let corner = null; // where a larger patch begins
  let reached = null; // and the cell that it reaches while it is drawn
  // Cells that a photo did not tell surely, as they were read: until they are drawn otherwise.
  const doubtful = new Map(JSON.parse(place.dataset.doubtful ?? "[]").map(([row, column]) => [`${row} ${column}`, start.blocks[0].picture[row][column]]));
  const hand = { cloth: start.cloths[Math.min(1, start.cloths.length - 1)].key, shape: "whole", turn: 0, tool: "whole", same: "" };

  const page = {
    block: 0, seen: "colours", palette: null, turning: false, open: new Set(), colours: JSON.parse(place.dataset.colours),
    hand,
    get sheet() { return history.now; },
    get sizes() { return seen().sizes; },
    // What is wrong with a field, by its block's key (or none) and its key in the plan.
    faultOf: (block, key) => seen().faults.find((fault) => fault.block === block && fault.key === key)?.words ?? "",
    get unit() { return history.now.head.unit ?? "in"; },
    get painted() { return paint.paints(history.now.cloths, page.seen); },
    told: seen, act, go, showBoard, formsLater, faultsHere: (block) => faultsHere(block), see: (how) => { page.seen = how; show(); showPicture(); },
    turnTo: (number) => { page.block = number; corner = null; show(); },
    take: (number) => { page.block = number; page.turning = false; show(); },
    takeTurn: () => { page.turning = !page.turning; show(); },
    addBlock: (from) => { act((now) => sheets.newBlock(now, from)); page.block = page.sheet.blocks.length - 1; show(); },
    takeBlock: () => { const gone = page.block; page.block = Math.max(0, gone - 1); act((now) => sheets.withoutBlock(now, gone)); },
    addCloth, back: () => { if (page.backToBlock) { go("block"); scrollTo(0, page.wasAt); } page.backToBlock = false; },
    openPalette: (number) => { page.backToBlock = false; page.palette = page.palette === number ? null : number; show(); },
    opened: (details) => { if (details.open) page.open.add(details.id); else page.open.delete(details.id); },
  };

  room.drawPlaces(page);

  const pictureNow = () => stroke ?? page.sheet.blocks[page.block].picture;

  // Changing, undoing

  function act(change) {
    const next = squares.changed(history, change(history.now));
    if (next === history) return;
    history = next;
    changed();
  }

  function changed() {
    page.block = Math.min(page.block, page.sheet.blocks.length - 1);
    if (!page.sheet.cloths.some((cloth) => cloth.key === hand.cloth)) hand.cloth = page.sheet.cloths[0].key;
    show();
    keep();
    lookSoon(AT_ONCE);
  }

  function moved(along) {
    corner = stroke = null;
    history = along(history);
    changed();
  }
  const undo = () => moved(squares.undone);
  const redo = () => moved(squares.redone);

  function addCloth() {
    const taken = page.sheet.cloths.map((cloth) => paint.colourOf(cloth));
    const fresh = page.colours.filter(([name, colour]) => name.startsWith("deep ") && !taken.includes(colour));
    const [name, colour] = fresh[(page.sheet.cloths.length * 5) % fresh.length] ?? page.colours[0];
    let key;
    act((now) => {
      const [next, added] = sheets.newCloth(now, { name, colour });
      key = added;
      return next;
    });
    hand.cloth = key;
    page.palette = page.sheet.cloths.length - 1;
    Object.assign(page, { backToBlock: place.dataset.part === "block", wasAt: scrollY });
    if (page.backToBlock) go("cloths");
    showForms(); // at once: it is what she asked for, and there is nothing else to touch
    show();
    find(`#swatch-${page.palette}`)?.scrollIntoView({ block: "start" });
  }

  // The board

  const withPicture = (picture) => act((now) => sheets.withPicture(now, page.block, picture));

  const board = room.board(find("#board"), {
    tap(row, column) {
      const picture = pictureNow();
      if (hand.tool === "turn") withPicture(squares.turnCell(picture, row, column, hand.same));
      else if (hand.tool === "join") joinAt(row, column);
      else {
        const lay = squares.lay(picture, row, column, hand);
        // Touched once more it is turned, and so is what is in the hand.
        if (hand.shape !== "whole" && squares.lies(picture, row, column, hand)) hand.turn = (hand.turn + 1) % 4;
        withPicture(lay);
      }
      say(row, column);
    },
    over(row, column, from) {
      if (hand.tool === "join") {
        corner = from;
        reached = [row, column];
      } else {
        stroke ??= pictureNow();
        for (const [r, c] of [from, [row, column]]) {
          if (hand.tool === "turn") { if (r === row && c === column) stroke = squares.turnCell(stroke, r, c, hand.same); }
          else if (!squares.lies(stroke, r, c, hand)) stroke = squares.lay(stroke, r, c, hand);
        }
      }
      showBoard();
    },
    dropped() {
      const drawn = stroke;
      stroke = null;
      if (corner && reached) {
        const [from, to] = [corner, reached];
        corner = reached = null;
        withPicture(squares.join(pictureNow(), from, to, hand));
      } else if (drawn) withPicture(drawn);
      show();
    },
    cancelled() {
      stroke = corner = reached = null;
      show();
    },
    key(name) {
      const shapes = { w: "whole", h: "half", q: "quarter", l: "join", t: "turn" };
      const cloth = page.sheet.cloths[Number(name) - 1];
      if (/^[1-9]$/.test(name) && cloth) takeCloth(cloth.key);
      else if (shapes[name.toLowerCase()]) takeTool(shapes[name.toLowerCase()]);
      else if (name === "r" || name === "R") { hand.turn = (hand.turn + 1) % 4; show(); }
      else if (name === "Escape") { corner = null; show(); }
      else return false;
      const words = hand.tool === "turn" ? "Turn a cell" : find(`[data-tool="${hand.tool}"] span`).textContent;
      find("#said").textContent = `In the hand: ${words}, ${page.painted.get(hand.cloth).name}.`;
      return true;
    },
  });

  function joinAt(row, column) {
    const patch = squares.patchAt(pictureNow(), row, column);
    const whole = patch.down * patch.across > 1;
    if (!corner && whole) withPicture(squares.part(pictureNow(), row, column, hand.same));
    else if (!corner) {
      corner = [row, column];
      show();
    } else {
      const from = corner;
      corner = null;
      if (from[0] !== row || from[1] !== column) withPicture(squares.join(pictureNow(), from, [row, column], hand));
      show();
    }
  }

  const HINTS = {
    whole: "Touch a cell to lay the cloth, or draw over several.",
    half: "Touch a cell to lay it, several made one patch too; touch it once more to turn it.",
    quarter: "Touch a cell to lay it; touch it once more to turn it.",
    join: "Draw over cells to make one patch of them, or touch two corners. Touch a larger patch to part it.",
    turn: "Touch a cell to turn it by a quarter.",
  };

  function say(row, column) {
    const patch = squares.patchAt(pictureNow(), row, column);
    find("#said").textContent = corner ? "It begins here; now touch the cell in the opposite corner."
      : `Row ${row + 1}, cell ${column + 1}: ${paint.patchWords(patch, page.painted)}.${hand.tool === hand.shape && hand.tool !== "whole" ? " Touch it again to turn it." : ""}`;
  }

  function showBoard() {
    const block = page.sheet.blocks[page.block];
    const picture = pictureNow();
    const [rows, columns] = squares.sizeOf(picture);
    const painted = page.painted;
    const wrong = new Set(faultsHere(block).flatMap(({ cells }) => cells.map(([row, cell]) => `${row - 1} ${cell - 1}`)));
    const rowWrong = new Set(faultsHere(block).flatMap(({ cells }) => cells.filter(([, cell]) => !cell).map(([row]) => row - 1)));
    const area = corner && reached ? [corner, reached] : corner ? [corner, corner] : null;
    const inside = (row, column) => area && row >= Math.min(area[0][0], area[1][0]) && row <= Math.max(area[0][0], area[1][0])
      && column >= Math.min(area[0][1], area[1][1]) && column <= Math.max(area[0][1], area[1][1]);
    board.show({
      rows, columns, widths: paint.shares(block.columns, columns), heights: paint.shares(block.rows, rows),
      label: `${block.name ?? block.key}: ${rows} rows of ${columns} cells`,
      items: squares.patchesOf(picture).map((patch) => {
        const isDoubtful = doubtful.get(`${patch.row} ${patch.column}`) === picture[patch.row][patch.column] && page.block === 0;
        const isWrong = wrong.has(`${patch.row} ${patch.column}`) || rowWrong.has(patch.row);
        return {
          ...patch, html: paint.patchSvg(patch, painted),
          words: `Row ${patch.row + 1}, cell ${patch.column + 1}: ${paint.patchWords(patch, painted)}${isWrong ? "; cannot be sewn so" : ""}${isDoubtful ? "; not surely read from the photo" : ""}`,
          marks: `${isWrong ? "wrong " : ""}${isDoubtful ? "doubtful " : ""}${inside(patch.row, patch.column) ? "begun" : ""}`,
        };
      }),
    });
  }

  const faultsHere = (block) => seen().faults.filter((fault) => fault.block === block.key);

  // What is in the hand

  function takeCloth(key) {
    hand.cloth = key;
    if (hand.tool === "turn") takeTool("whole");
    show();
  }

  function takeTool(tool) {
    corner = null;
    if (hand.tool === tool && (tool === "half" || tool === "quarter")) hand.turn = (hand.turn + 1) % 4;
    hand.tool = tool;
    if (["whole", "half", "quarter"].includes(tool)) hand.shape = tool;
    find("#said").textContent = HINTS[tool];
    show();
  }

  function showHand() {
    const chips = page.sheet.cloths.map((cloth) => forms.el("button", {
      type: "button", class: "plain chip", id: `hand-${cloth.key}`, "aria-pressed": cloth.key === hand.cloth, "aria-label": cloth.name ?? cloth.key, onclick: () => takeCloth(cloth.key),
    }, forms.svg(paint.patchSvg({ down: 1, across: 1, quarters: Array(4).fill(cloth.key) }, page.painted))));
    forms.again(find("#cloth-hand"), [...chips, forms.button("+", addCloth, { id: "hand-more", class: "plain chip more-cloth", "aria-label": "Another cloth" })]);
    const painted = page.painted.get(hand.cloth);
    place.style.setProperty("--cloth", painted.colour);
    place.dataset.turn = String(hand.turn);
    document.querySelectorAll("[data-tool]").forEach((button) => button.setAttribute("aria-pressed", String(button.dataset.tool === hand.tool)));
    document.querySelectorAll("[data-undo]").forEach((button) => button.setAttribute("aria-disabled", String(!history.past.length)));
    document.querySelectorAll("[data-redo]").forEach((button) => button.setAttribute("aria-disabled", String(!history.future.length)));
    document.querySelectorAll("[data-same]").forEach((button) => button.setAttribute("aria-pressed", String(button.dataset.same === hand.same)));
    const [rows, columns] = squares.sizeOf(pictureNow());
    find("[data-same=turned]").textContent = rows === columns ? "4 sides, turned" : "2 sides, turned";
  }

  function show() {
    showBoard();
    if (touching || typedIn || left) formsLater();
    else showForms();
    showHand();
  }

  function showForms() {
    clearTimeout(later);
    forms.again(find("#block-form"), forms.blockForm(page));
    forms.again(find("#cloth-form"), forms.clothForm(page));
    forms.again(find("#quilt-form"), forms.quiltForm(page));
    page.showPlaces();
  }

  function go(part) {
    place.dataset.part = part;
    document.querySelectorAll("[data-go]").forEach((button) => button.setAttribute("aria-pressed", String(button.dataset.go === part)));
    if (draft) find("#drawn-before").hidden = true; // not while she draws: the cells would move up under her finger
    if (part === "make") showDrafts();
    showBoard();
  }

  // Nothing fresh is put in the place of what a finger is just touching, or its tap would be lost, nor of a field that is
  // being typed in. (What a form does is done to the sheet as it is by then, so older forms do no harm.)

  const TAKEN = 400; // milliseconds from when a finger is lifted until its tap has come
  let touching = false, lifted = 0, later = null, typedIn = "", left = false;

  function formsLater() {
    clearTimeout(later);
    if (!touching && !typedIn && Date.now() - lifted > TAKEN) showForms();
    else later = setTimeout(formsLater, TAKEN / 4);
  }

  const isField = (target) => target.matches?.("#drawing :is(input:not([type=checkbox]), select)");
  window.addEventListener("pointerdown", ({ target }) => {
    touching = true;
    if (target.matches?.("#drawing select")) typedIn = target.id;
  }, true);
  for (const name of ["pointerup", "pointercancel"]) {
    window.addEventListener(name, () => { touching = false; lifted = Date.now(); }, true);
  }
  window.addEventListener("input", ({ target }) => { if (isField(target)) typedIn = target.id; }, true);
  window.addEventListener("focusout", () => { typedIn = ""; }, true);
  window.addEventListener("change", ({ target }) => {
    typedIn = "";
    // A field is left when a finger that touches something else is lifted already, and before its tap has come.
    left = target.matches("input:not([type=checkbox], [type=color])") && Date.now() - lifted < TAKEN;
  }, true);
  window.addEventListener("change", () => { left = false; });

  // Keeping

  function keep() {
    draft ??= room.drafts.draft(room.newId());
    if (location.hash !== `#${draft.id}`) window.history.replaceState(null, "", `#${draft.id}`);
    const about = { title: String(page.sheet.head.title ?? ""), quilt: place.dataset.quilt, mark: find("[name=before]")?.value ?? "", former: formerText() };
    const kept = find("#kept"), now = history;
    kept.textContent = "Being kept …";
    draft.keep(history, about).then(
      () => { if (now === history) kept.textContent = KEPT; },
      () => { kept.textContent = "This browser keeps little: leave this page open until the quilt is made."; },
    );
  }

  async function openDraft(id) {
    const opened = room.drafts.draft(id);
    const found = await opened.load().catch(() => null);
    if (!found || found.about.quilt !== place.dataset.quilt) return false;
    draft = opened;
    history = found.history;
    find("[name=former]").value = found.about.former ?? "";
    // What was drawn on a plan that has been changed since is held against that plan.
    const before = find("[name=before]");
    if (before) before.value = found.about.mark;
    window.history.replaceState(null, "", `#${id}`);
    find("#kept").textContent = KEPT;
    return true;
  }

  async function showDrafts() {
    const others = (await room.drafts.all()).filter((each) => each.quilt === place.dataset.quilt && each.id !== draft?.id);
    // Who comes back to what she drew looks for it where she drew it.
    find("#drawn-before").hidden = !others.length || Boolean(draft);
    find("[data-drafts]").textContent = `Drawn before, not made: ${others.length}`;
    if (!others.length) return find("#drafts").replaceChildren();
    return find("#drafts").replaceChildren(forms.el("details", { open: true }, forms.el("summary", {}, `Drawn before, not made: ${others.length}`),
      forms.el("ul", { class: "rows" }, others.map((each) => forms.el("li", { class: "row act" },
        forms.el("span", { class: "what" }, each.title || "without a name", forms.el("small", {}, ` ${new Date(each.at).toLocaleString()}`)),
        forms.button("Draw on", async () => { if (await openDraft(each.id)) { page.block = 0; changed(); go("block"); } }, { "aria-label": `Draw on: ${each.title}` }),
        forms.button("Drop", async (event) => {
          if (event.target.dataset.sure) { await room.drafts.drop(each.id); showDrafts(); } else { event.target.dataset.sure = "yes"; event.target.textContent = "Really drop it"; }
        }, { "aria-label": `Drop: ${each.title}` }))))));
  }

  async function make() {
    const doubt = find("#doubt");
    doubt.hidden = true;
    try {
      const answer = await made();
      if (answer.at) {
        if (draft) await room.drafts.drop(draft.id).catch(() => {});
        return location.assign(answer.at);
      }
      doubt.textContent = answer.doubt;
    } catch {
      doubt.textContent = "The computer does not answer. What is drawn is kept here; make it when the computer is back.";
    }
    doubt.hidden = false;
    return lookSoon(AT_ONCE);
  }

  // Beginning

  document.addEventListener("click", (event) => {
    const near = (selector) => event.target.closest(selector);
    if (near("[data-go]")) go(near("[data-go]").dataset.go);
    else if (near("[data-tool]")) takeTool(near("[data-tool]").dataset.tool);
    else if (near("[data-same]")) { hand.same = near("[data-same]").dataset.same; show(); }
    else if (near("[data-undo]")) undo();
    else if (near("[data-redo]")) redo();
    else if (near("#make")) make();
    else if (near("[data-drafts]")) { go("make"); showDrafts().then(() => find("#drafts").scrollIntoView()); }
  });
  document.addEventListener("submit", (event) => {
    const kept = event.target.querySelector("[name=sheet]");
    if (kept) kept.value = JSON.stringify(history.now);
  });
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input, textarea")) return;
    const key = event.key.toLowerCase();
    if (key !== "z" && key !== "y") return;
    event.preventDefault();
    if (key === "y" || event.shiftKey) redo();
    else undo();
  });
  // What is being typed counts before the page goes.
  const typed = () => document.activeElement?.matches?.("#drawing input") && document.activeElement.dispatchEvent(new Event("change", { bubbles: true }));
  window.addEventListener("pagehide", typed);
  document.addEventListener("visibilitychange", () => { if (document.hidden) typed(); });
  window.addEventListener("resize", showBoard);

  async function begin() {
    room.comesTo.begin(page);
    find("#patterns").innerHTML = paint.definitions();
    const named = location.hash.slice(1);
    if (/^[0-9a-f]{24}$/.test(named) && !await openDraft(named)) {
      const newest = room.drafts.withoutDatabase();
      if (newest?.id === named && newest.quilt === place.dataset.quilt) history = squares.begun(newest.now);
    }
    place.hidden = false;
    show();
    go("block");
    find("#said").textContent = HINTS.whole;
    lookSoon(0);
    showDrafts();
  }

  begin();
})();

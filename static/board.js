// A board of cells that is drawn on: with a finger, a pen, a mouse, the keyboard or a screen reader. It shows what it is
// given and tells what a hand does; what comes of that is decided elsewhere.
"use strict";
(() => {
  if (!window.sewingRoom) return;
  // place: the element. does: { tap(row, column), over(row, column, from) while dragging, dropped(), cancelled(), key(name,
  // row, column) that says whether it knew the key }.
  function board(place, does) {
    let shown = "";
    let cells = new Map(); // every place "row column" of the grid: its cell
    let drag = null;
    let here = [0, 0];

    const at = (cell) => [Number(cell.dataset.row), Number(cell.dataset.column)];
    const under = (event) => {
      const found = document.elementFromPoint(event.clientX, event.clientY)?.closest("[role=gridcell]");
      return found && place.contains(found) ? found : null;
    };

    // rows, columns: how many; widths, heights: their shares; least: pixels of the narrowest column; items: { row, column, down, across, html, words, marks }.
    function show({ rows, columns, widths, heights, items, label, least = 44 }) {
      const lines = JSON.stringify([rows, columns, widths, heights, items.map(({ row, column, down, across }) => [row, column, down, across])]);
      place.setAttribute("aria-label", label);
      if (lines !== shown) lay({ rows, columns, widths, heights, items, least });
      shown = lines;
      for (const item of items) {
        const cell = cells.get(`${item.row} ${item.column}`);
        if (cell.dataset.html !== item.html) cell.innerHTML = cell.dataset.html = item.html;
        cell.setAttribute("aria-label", item.words);
        cell.className = `cell ${item.marks ?? ""}`;
      }
      settle();
      const room = place.parentElement?.clientWidth ?? 0;
      place.classList.toggle("wide", least * columns > room + 1);
    }

    function lay({ rows, columns, widths, heights, items, least }) {
      const held = place.contains(document.activeElement);
      place.replaceChildren();
      place.style.gridTemplateColumns = widths.map((share) => `minmax(${least}px, ${share}fr)`).join(" ");
      place.style.gridTemplateRows = heights.map((share) => `minmax(44px, ${share}fr)`).join(" ");
      const sum = (shares) => shares.reduce((all, share) => all + share, 0);
      place.style.aspectRatio = `${sum(widths)} / ${sum(heights)}`;
      place.style.setProperty("--least", `${least * columns}px`);
      place.style.setProperty("--shape", sum(widths) / sum(heights));
      place.setAttribute("aria-rowcount", rows);
      place.setAttribute("aria-colcount", columns);
      cells = new Map();
      for (let row = 0; row < rows; row += 1) {
        const line = document.createElement("div");
        line.setAttribute("role", "row");
        for (const item of items.filter((each) => each.row === row)) line.append(cellOf(item));
        if (line.children.length) place.append(line);
      }
      here = [Math.min(here[0], rows - 1), Math.min(here[1], columns - 1)];
      settle(held);
    }

    function cellOf({ row, column, down, across }) {
      const cell = document.createElement("div");
      cell.setAttribute("role", "gridcell");
      Object.assign(cell.dataset, { row, column, html: "" });
      cell.style.gridRow = `${row + 1} / span ${down}`;
      cell.style.gridColumn = `${column + 1} / span ${across}`;
      cell.setAttribute("aria-rowindex", row + 1);
      cell.setAttribute("aria-colindex", column + 1);
      if (down > 1) cell.setAttribute("aria-rowspan", down);
      if (across > 1) cell.setAttribute("aria-colspan", across);
      for (let r = row; r < row + down; r += 1) for (let c = column; c < column + across; c += 1) cells.set(`${r} ${c}`, cell);
      return cell;
    }

    // One cell at a time is reached by Tab.
    function settle(focused = false) {
      const now = cells.get(here.join(" ")) ?? cells.values().next().value;
      for (const cell of new Set(cells.values())) cell.tabIndex = cell === now ? 0 : -1;
      if (focused) now?.focus({ preventScroll: true });
    }

    function go(down, right) {
      const from = cells.get(here.join(" "));
      let [row, column] = here;
      do {
        row += down;
        column += right;
      } while (cells.get(`${row} ${column}`) === from);
      if (cells.has(`${row} ${column}`)) {
        here = [row, column];
        settle(true);
      }
    }

    place.addEventListener("click", (event) => {
      const cell = event.target.closest("[role=gridcell]");
      if (!cell || drag?.moved) return;
      here = at(cell);
      settle();
      does.tap(...here);
    });

    place.addEventListener("pointerdown", (event) => {
      const cell = event.target.closest("[role=gridcell]");
      drag = cell && event.isPrimary && event.button === 0 && (event.pointerType === "mouse" || !place.classList.contains("wide"))
        ? { from: at(cell), last: cell, moved: false } : null;
    });
    place.addEventListener("pointermove", (event) => {
      if (!drag || drag.over || !event.isPrimary || !(event.buttons & 1)) return;
      const cell = under(event);
      if (!cell || cell === drag.last) return;
      drag.last = cell;
      drag.moved = true;
      does.over(...at(cell), drag.from);
    });
    // A stroke is no throw of the page, whose end would swallow the next tap.
    place.addEventListener("touchmove", (event) => { if (drag && event.touches.length === 1) event.preventDefault(); }, { passive: false });
    for (const [name, then] of [["pointerup", "dropped"], ["pointercancel", "cancelled"]]) {
      window.addEventListener(name, (event) => {
        if (!drag || drag.over || !event.isPrimary) return;
        drag.over = true;
        const { moved } = drag;
        // Behind the touch's own end and the click that may follow: a cell that goes under the finger would swallow both,
        // and the next tap with them.
        setTimeout(() => {
          drag = null;
          if (moved) does[then]();
        });
      });
    }

    const WAYS = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
    place.addEventListener("keydown", (event) => {
      const cell = event.target.closest("[role=gridcell]");
      if (!cell || event.ctrlKey || event.metaKey || event.altKey) return;
      if (WAYS[event.key]) go(...WAYS[event.key]);
      else if (event.key === "Enter" || event.key === " ") {
        here = at(cell);
        does.tap(...here);
      } else if (!does.key(event.key, ...here)) return;
      event.preventDefault();
    });
    place.addEventListener("focusin", (event) => {
      const cell = event.target.closest("[role=gridcell]");
      if (cell && cells.get(here.join(" ")) !== cell) here = at(cell);
    });

    return { show };
  }

  window.sewingRoom.board = board;
})();

// A block on squared paper: pictures as rows of cells, as a plan writes them (S, S/R, S\R, S:R:T:U, < and ^), and what a
// hand does with them. Nothing here touches the page: each function gives a new picture and leaves the old one as it was.
//
// A patch is { row, column, down, across, quarters }, its quarters clockwise from the top; plain where all four are alike.
"use strict";
(() => {
  if (document.documentElement.classList.contains("older")) return;
  const MOST = 64;

  function quartersOf(token) {
    if (token.includes("/")) {
      const [a, b] = token.split("/");
      return [a, b, b, a];
    }
    if (token.includes("\\")) {
      const [a, b] = token.split("\\");
      return [b, b, a, a];
    }
    return token.includes(":") ? token.split(":") : [token, token, token, token];
  }

  function tokenOf([top, right, bottom, left]) {
    if (top === right && right === bottom && bottom === left) return top;
    if (top === left && right === bottom) return `${top}/${right}`;
    if (top === right && bottom === left) return `${bottom}\\${top}`;
    return `${top}:${right}:${bottom}:${left}`;
  }

  // Patches and pictures

  function patchesOf(picture) {
    const heads = new Map();
    picture.forEach((tokens, row) => tokens.forEach((token, column) => {
      const place = `${row} ${column}`;
      const before = token === "<" ? heads.get(`${row} ${column - 1}`) : token === "^" ? heads.get(`${row - 1} ${column}`) : null;
      const patch = before ?? { row, column, down: 1, across: 1, quarters: quartersOf(token) };
      if (before) {
        patch.down = row - patch.row + 1;
        patch.across = Math.max(patch.across, column - patch.column + 1);
      }
      heads.set(place, patch);
    }));
    return [...new Set(heads.values())];
  }

  function pictureOf(patches, rows, columns) {
    const picture = Array.from({ length: rows }, () => Array(columns).fill(""));
    for (const { row, column, down, across, quarters } of patches) {
      for (let r = row; r < row + down; r += 1) {
        for (let c = column; c < column + across; c += 1) picture[r][c] = c > column ? "<" : "^";
      }
      picture[row][column] = tokenOf(quarters);
    }
    return picture;
  }

  const sizeOf = (picture) => [picture.length, picture[0].length];
  const holds = (patch, row, column) => row >= patch.row && row < patch.row + patch.down
    && column >= patch.column && column < patch.column + patch.across;
  const isPlain = (patch) => patch.quarters.every((cloth) => cloth === patch.quarters[0]);
  const isHalved = ({ quarters: [top, right, bottom, left] }) =>
    (top === left && right === bottom) !== (top === right && bottom === left);
  const patchAt = (picture, row, column) => patchesOf(picture).find((patch) => holds(patch, row, column));
  const meet = (a, b) => a.row < b.row + b.down && b.row < a.row + a.down
    && a.column < b.column + b.across && b.column < a.column + a.across;

  // A patch as the cells that it covers, each showing what it showed of the whole.
  function parted(patch) {
    const cells = [];
    for (let i = 0; i < patch.down; i += 1) {
      for (let j = 0; j < patch.across; j += 1) {
        // The middles of its quarters, in sixths of a cell from the middle of the patch.
        const quarters = [[0, -2], [2, 0], [0, 2], [-2, 0]].map(([x, y]) => {
          const across = (6 * j + 3 + x - 3 * patch.across) * patch.down;
          const down = (6 * i + 3 + y - 3 * patch.down) * patch.across;
          if (Math.abs(across) > Math.abs(down)) return patch.quarters[across > 0 ? 1 : 3];
          return patch.quarters[down > 0 ? 2 : 0];
        });
        cells.push({ row: patch.row + i, column: patch.column + j, down: 1, across: 1, quarters });
      }
    }
    return cells;
  }

  // Put patches into a picture; what they cover goes, and what they cover in part falls into its cells.
  function put(picture, ...fresh) {
    let patches = patchesOf(picture);
    for (const patch of fresh) {
      patches = patches.flatMap((old) => (meet(old, patch) ? parted(old).filter((cell) => !meet(cell, patch)) : [old]));
      patches.push(patch);
    }
    return pictureOf(patches, ...sizeOf(picture));
  }

  // The same on all sides. Each way of seeing a picture again takes a patch to where it comes to lie; the first leaves it
  // where it is. Quarter turns and slanting mirrors need as many rows as columns.

  const turned = (patch, rows) => ({
    row: patch.column, column: rows - patch.row - patch.down, down: patch.across, across: patch.down,
    quarters: [3, 0, 1, 2].map((from) => patch.quarters[from]),
  });
  const mirrored = (patch, rows, columns) => ({
    ...patch, column: columns - patch.column - patch.across, quarters: [0, 3, 2, 1].map((from) => patch.quarters[from]),
  });

  function images(patch, rows, columns, same) {
    if (!same) return [patch];
    const half = (one) => turned(turned(one, rows), columns);
    const halves = [patch, half(patch)];
    const quarters = rows === columns ? [turned(patch, rows), turned(half(patch), rows)] : [];
    if (same === "turned") return [...halves, ...quarters];
    // A mirror across or down before one that slants.
    const mirror = (each) => mirrored(each, rows, columns);
    return [...halves, ...halves.map(mirror), ...quarters, ...quarters.map(mirror)];
  }

  // Lay a patch, and what it is on the other sides; where two would lie on one place, the one under the hand stays.
  function putAll(picture, patch, same) {
    const [rows, columns] = sizeOf(picture);
    const taken = [];
    for (const image of images(patch, rows, columns, same)) if (!taken.some((each) => meet(each, image))) taken.push(image);
    return put(picture, ...taken);
  }

  // What a hand does

  const SHAPES = {
    whole: [[0, 1, 2, 3], [0, 1, 2, 3], [0, 1, 2, 3], [0, 1, 2, 3]],
    half: [[3, 0], [0, 1], [1, 2], [2, 3]], // upper left, upper right, lower right, lower left
    quarter: [[0], [1], [2], [3]],
  };

  const lies = (picture, row, column, { shape, turn, cloth }) =>
    SHAPES[shape][turn % 4].every((quarter) => patchAt(picture, row, column).quarters[quarter] === cloth);

  // Lay a patch of a cloth, its shape turned so often, on a cell. Where it lies there already, the cell is turned.
  function lay(picture, row, column, hand) {
    const { shape, turn, cloth, same } = hand;
    if (lies(picture, row, column, hand)) return shape === "whole" ? picture : turnCell(picture, row, column, same);
    const patch = patchAt(picture, row, column);
    const covered = SHAPES[shape][turn % 4];
    const quarters = patch.quarters.map((old, quarter) => (covered.includes(quarter) ? cloth : old));
    return putAll(picture, { ...patch, quarters }, same);
  }

  function turnCell(picture, row, column, same) {
    const patch = patchAt(picture, row, column);
    // An oblong of two cloths goes on to the next way that its seam can run.
    if (patch.down !== patch.across && !isHalved(patch)) return picture;
    return putAll(picture, { ...patch, quarters: [3, 0, 1, 2].map((from) => patch.quarters[from]) }, same);
  }

  // One patch over all cells between two, and over all of what lies only partly between them.
  function join(picture, from, to, { cloth, same }) {
    let area = {
      row: Math.min(from[0], to[0]), column: Math.min(from[1], to[1]),
      down: Math.abs(from[0] - to[0]) + 1, across: Math.abs(from[1] - to[1]) + 1,
    };
    for (let grown = true; grown;) {
      grown = false;
      for (const patch of patchesOf(picture).filter((each) => meet(each, area))) {
        const top = Math.min(area.row, patch.row), left = Math.min(area.column, patch.column);
        const down = Math.max(area.row + area.down, patch.row + patch.down) - top;
        const across = Math.max(area.column + area.across, patch.column + patch.across) - left;
        if (down !== area.down || across !== area.across) {
          area = { row: top, column: left, down, across };
          grown = true;
        }
      }
    }
    return putAll(picture, { ...area, quarters: [cloth, cloth, cloth, cloth] }, same);
  }

  function part(picture, row, column, same) {
    const patch = patchAt(picture, row, column);
    return parted(patch).reduce((so, cell) => putAll(so, cell, same), picture);
  }

  // Rows and columns. Turned once, columns are rows.

  const clockwise = (picture) => {
    const [rows, columns] = sizeOf(picture);
    return pictureOf(patchesOf(picture).map((patch) => turned(patch, rows)), columns, rows);
  };
  const columnwise = (picture, change) => clockwise(clockwise(clockwise(change(clockwise(picture)))));

  // A new row of one cloth before the row `at`; patches that span that place become longer, unless they have a diagonal.
  function addRow(picture, at, cloth) {
    const [rows, columns] = sizeOf(picture);
    if (rows >= MOST) return picture;
    const crosses = (patch) => patch.row < at && patch.row + patch.down > at;
    const patches = patchesOf(picture).flatMap((patch) => (crosses(patch) && !isPlain(patch) ? parted(patch) : [patch]));
    const moved = patches.map((patch) => {
      if (crosses(patch)) return { ...patch, down: patch.down + 1 };
      return patch.row >= at ? { ...patch, row: patch.row + 1 } : patch;
    });
    for (let column = 0; column < columns; column += 1) {
      const patch = { row: at, column, down: 1, across: 1, quarters: [cloth, cloth, cloth, cloth] };
      if (!moved.some((each) => meet(each, patch))) moved.push(patch);
    }
    return pictureOf(moved, rows + 1, columns);
  }

  function takeRow(picture, at) {
    const [rows, columns] = sizeOf(picture);
    if (rows < 2) return picture;
    const patches = patchesOf(picture).flatMap((patch) => (holds(patch, at, patch.column) && !isPlain(patch) ? parted(patch) : [patch]));
    const left = patches.flatMap((patch) => {
      if (patch.row > at) return [{ ...patch, row: patch.row - 1 }];
      if (patch.row + patch.down <= at) return [patch];
      return patch.down > 1 ? [{ ...patch, down: patch.down - 1 }] : [];
    });
    return pictureOf(left, rows - 1, columns);
  }

  const addColumn = (picture, at, cloth) => columnwise(picture, (turnedOnce) => addRow(turnedOnce, at, cloth));
  const takeColumn = (picture, at) => columnwise(picture, (turnedOnce) => takeRow(turnedOnce, at));

  // One cloth in place of another.
  const recloth = (picture, from, to) => pictureOf(
    patchesOf(picture).map((patch) => ({ ...patch, quarters: patch.quarters.map((cloth) => (cloth === from ? to : cloth)) })),
    ...sizeOf(picture),
  );

  const plain = (rows, columns, cloth) => Array.from({ length: rows }, () => Array(columns).fill(cloth));

  // Undo and redo without end: what was, what is, and what was undone.

  const begun = (now) => ({ past: [], now, future: [] });
  const changed = (history, now) => (now === history.now ? history : { past: [...history.past, history.now], now, future: [] });
  const undone = ({ past, now, future }) => (past.length
    ? { past: past.slice(0, -1), now: past[past.length - 1], future: [now, ...future] } : { past, now, future });
  const redone = ({ past, now, future }) => (future.length
    ? { past: [...past, now], now: future[0], future: future.slice(1) } : { past, now, future });

  window.sewingRoom = Object.assign(window.sewingRoom ?? {}, {
    squares: {
      MOST, quartersOf, tokenOf, patchesOf, patchAt, pictureOf, sizeOf, isPlain, lies, lay, turnCell, join, part, addRow, takeRow,
      addColumn, takeColumn, recloth, plain, clockwise, begun, changed, undone, redone,
    },
  });
})();

// A photo straightened by its four corners, and the colours of its cells. Nothing here touches the page or leaves it; what
// is reckoned here is never cut.
"use strict";
(() => {
  if (!window.sewingRoom) return;
  const SIDE = 420; // pixels of the straightened picture, each way
  const EDGE = 0.76; // how much of a cell from its middle is looked at: beyond lie gaps and seams
  const SEAM = 0.2; // and how far from its diagonals

  // What takes the corners of the unit square (clockwise from the upper left) to these: eight numbers, then 1.
  function homography([[x0, y0], [x1, y1], [x2, y2], [x3, y3]]) {
    const [dx1, dx2, dx3] = [x1 - x2, x3 - x2, x0 - x1 + x2 - x3];
    const [dy1, dy2, dy3] = [y1 - y2, y3 - y2, y0 - y1 + y2 - y3];
    const whole = dx1 * dy2 - dx2 * dy1;
    const g = (dx3 * dy2 - dx2 * dy3) / whole;
    const h = (dx1 * dy3 - dx3 * dy1) / whole;
    return [x1 - x0 + g * x1, x3 - x0 + h * x3, x0, y1 - y0 + g * y1, y3 - y0 + h * y3, y0, g, h];
  }

  function through([a, b, c, d, e, f, g, h], u, v) {
    const w = g * u + h * v + 1;
    return [(a * u + b * v + c) / w, (d * u + e * v + f) / w];
  }

  // Whether four corners make a picture: none crossed, none bent in, and not all in one spot.
  function isSound(corners, width, height) {
    const turns = corners.map(([x, y], at) => {
      const [p, q] = [corners[(at + 1) % 4], corners[(at + 2) % 4]];
      return (p[0] - x) * (q[1] - p[1]) - (p[1] - y) * (q[0] - p[0]);
    });
    return turns.every((turn) => turn > width * height * 0.004);
  }

  const WHOLE = [[0, 0], [1, 0], [1, 1], [0, 1]];

  // The place in what the corners mark of one in a grid whose own corners lie there, which may slant.
  const within = ([[x0, y0], [x1, y1], , [x3, y3]], u, v) => [x0 + u * (x1 - x0) + v * (x3 - x0), y0 + u * (y1 - y0) + v * (y3 - y0)];

  // The straightened picture of a grid with these corners in what is marked: three numbers a pixel, row by row.
  function straightened({ data, width, height }, corners, grid = WHOLE) {
    const matrix = homography(corners);
    const out = new Uint8ClampedArray(SIDE * SIDE * 3);
    for (let row = 0, to = 0; row < SIDE; row += 1) {
      for (let column = 0; column < SIDE; column += 1, to += 3) {
        const [x, y] = through(matrix, ...within(grid, (column + 0.5) / SIDE, (row + 0.5) / SIDE));
        const from = 4 * (Math.min(height - 1, Math.max(0, Math.floor(y))) * width + Math.min(width - 1, Math.max(0, Math.floor(x))));
        out[to] = data[from];
        out[to + 1] = data[from + 1];
        out[to + 2] = data[from + 2];
      }
    }
    return out;
  }

  // The mean colour of each quarter (clockwise from the top) of every cell between these lines, from 0 to 1.
  function samples(straight, columns, rows) {
    const found = [];
    for (let row = 1; row < rows.length; row += 1) {
      for (let column = 1; column < columns.length; column += 1) {
        found.push(...quarters(straight, columns[column - 1], columns[column], rows[row - 1], rows[row]));
      }
    }
    return found;
  }

  function quarters(straight, left, right, top, below) {
    const sums = Array(16).fill(0); // red, green, blue and how many, for each
    for (let y = Math.round(top * SIDE); y < Math.round(below * SIDE); y += 1) {
      const v = (2 * ((y + 0.5) / SIDE - top)) / (below - top) - 1;
      for (let x = Math.round(left * SIDE); x < Math.round(right * SIDE); x += 1) {
        const u = (2 * ((x + 0.5) / SIDE - left)) / (right - left) - 1;
        const [far, near] = [Math.max(Math.abs(u), Math.abs(v)), Math.min(Math.abs(u), Math.abs(v))];
        if (far >= EDGE || far - near <= SEAM) continue;
        const at = 4 * (Math.abs(v) >= Math.abs(u) ? (v < 0 ? 0 : 2) : (u > 0 ? 1 : 3));
        const from = 3 * (y * SIDE + x);
        for (let colour = 0; colour < 3; colour += 1) sums[at + colour] += straight[from + colour];
        sums[at + 3] += 1;
      }
    }
    return [0, 4, 8, 12].flatMap((at) => [0, 1, 2].map((colour) => Math.floor(sums[at + colour] / Math.max(1, sums[at + 3]) + 0.5)));
  }

  // How much the colours change from each line of pixels to the next, across and down.
  function changes(straight) {
    const across = Array(SIDE - 1).fill(0), down = Array(SIDE - 1).fill(0);
    for (let y = 0; y < SIDE - 1; y += 1) {
      for (let x = 0; x < SIDE - 1; x += 1) {
        const at = 3 * (y * SIDE + x);
        for (let colour = at; colour < at + 3; colour += 1) {
          across[x] += Math.abs(straight[colour] - straight[colour + 3]);
          down[y] += Math.abs(straight[colour] - straight[colour + 3 * SIDE]);
        }
      }
    }
    return { across: across.map((sum) => Math.round(sum / SIDE)), down: down.map((sum) => Math.round(sum / SIDE)) };
  }

  // Where the corners may be: the farthest places that look unlike the photo's edge; else a little inside it.
  function guessed({ data, width, height }) {
    const inside = [[0.12, 0.12], [0.88, 0.12], [0.88, 0.88], [0.12, 0.88]].map(([x, y]) => [x * width, y * height]);
    const step = Math.max(1, Math.floor(Math.max(width, height) / 160));
    const at = (x, y) => 4 * (y * width + x);
    const edge = [0, 1, 2].map((colour) => {
      const values = [];
      for (let x = 0; x < width; x += step) values.push(data[at(x, 1) + colour], data[at(x, height - 2) + colour]);
      for (let y = 0; y < height; y += step) values.push(data[at(1, y) + colour], data[at(width - 2, y) + colour]);
      return values.sort((a, b) => a - b)[Math.floor(values.length / 2)];
    });
    const unlike = (x, y) => [0, 1, 2].reduce((sum, colour) => sum + Math.abs(data[at(x, y) + colour] - edge[colour]), 0) > 90;
    const best = [[1, 1], [-1, 1], [-1, -1], [1, -1]].map((way) => ({ way, far: Infinity, place: null }));
    let many = 0, all = 0;
    for (let y = 2 * step; y < height - 2 * step; y += step) {
      for (let x = 2 * step; x < width - 2 * step; x += step) {
        all += 1;
        // A spot by itself is no corner.
        if (!unlike(x, y) || !unlike(x + step, y) || !unlike(x, y + step) || !unlike(x - step, y) || !unlike(x, y - step)) continue;
        many += 1;
        for (const corner of best) {
          const far = corner.way[0] * x + corner.way[1] * y;
          if (far < corner.far) Object.assign(corner, { far, place: [x - corner.way[0] * step, y - corner.way[1] * step] });
        }
      }
    }
    const corners = best.map((corner) => corner.place);
    return many > all * 0.15 && many < all * 0.97 && isSound(corners, width, height) ? corners : inside;
  }

  window.sewingRoom.straighten = { SIDE, WHOLE, homography, through, within, isSound, straightened, samples, changes, guessed };
})();

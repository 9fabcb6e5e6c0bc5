// How cloths are painted on a page: by colour, by tone in greys, with patterns and letters beside the colour. Drawings only:
// what is reckoned here is never cut.
"use strict";
(() => {
  const room = window.sewingRoom;
  if (!room) return;
  const { squares } = room;
  const GREYS = ["#f6f2ea", "#e3ddd2", "#cbc4b8", "#b0a99e", "#948d84", "#78726b", "#5c5752", "#413e3b", "#282624"];
  const INK = "#1b1b1b";
  const WHITE = "#fff";
  const PATTERNS = [
    "", '<circle cx="10" cy="10" r="3.4"/>', '<path d="M-2 22 22-2M-12 12 12-12M8 32 32 8"/>', '<path d="M0 10h20"/>',
    '<path d="M10 0v20"/>', '<path d="M-2-2 22 22M-12 8 12 32M8-12 32 12"/>', '<path d="M10 4v12M4 10h12"/>',
    '<rect x="4" y="4" width="12" height="12" fill="none"/>', '<path d="M0 15 5 5l5 10 5-10 5 10" fill="none"/>',
    '<circle cx="10" cy="10" r="6" fill="none"/>', '<path d="M0 0h10v10H0zM10 10h10v10H10z" stroke="none"/>',
    '<path d="M10 3l7 13H3z" fill="none"/>',
  ];

  // The tone of a colour as the computer sees it, 1 to 9.
  function toneOf(colour) {
    const [r, g, b] = [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16) / 255)
      .map((value) => (value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4));
    const light = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    const lightness = light > 216 / 24389 ? 116 * Math.cbrt(light) - 16 : (light * 24389) / 27;
    return Math.min(9, Math.max(1, 10 - Math.floor(lightness / 10)));
  }

  // A text may say any colour, or none that is one: what is painted with goes into markup as it is.
  const isColour = (said) => typeof said === "string" && /^#[0-9a-f]{6}$/i.test(said);
  const isTone = (said) => Number.isInteger(said) && said >= 1 && said <= 9;
  const colourOf = (cloth) => [cloth.colour, cloth.color].find(isColour) ?? GREYS[(isTone(cloth.tone) ? cloth.tone : 5) - 1];
  const toneOfCloth = (cloth) => (isTone(cloth.tone) ? cloth.tone : toneOf(colourOf(cloth)));

  // How every cloth is painted in one way of seeing: "colours", "patterns" or "greys".
  function paints(cloths, seen) {
    return new Map(cloths.map((cloth, number) => {
      const colour = seen === "greys" ? GREYS[toneOfCloth(cloth) - 1] : colourOf(cloth);
      const ink = toneOf(colour) > 5 ? WHITE : INK;
      return [cloth.key, { colour, ink, pattern: seen === "patterns" ? number % PATTERNS.length : 0, name: cloth.name ?? cloth.key }];
    }));
  }

  const paintOf = (painted, key) => painted.get(key) ?? { colour: "#fff", ink: INK, pattern: 0, name: `unknown cloth ${key}` };

  const definitions = () => [INK, WHITE].map((ink) => PATTERNS.map((shape, number) => `<pattern id="pattern-${number}-${ink === INK ? "dark" : "light"}"
    width="20" height="20" patternUnits="userSpaceOnUse"><g stroke="${ink}" fill="${ink}" stroke-width="2" opacity=".7">${shape}</g></pattern>`).join("")).join("");

  function area(points, paint) {
    const pattern = paint.pattern ? `<polygon points="${points}" fill="url(#pattern-${paint.pattern}-${paint.ink === INK ? "dark" : "light"})"/>` : "";
    return `<polygon points="${points}" fill="${paint.colour}" stroke="${paint.colour}" stroke-width="1.5"/>${pattern}`;
  }

  // Quarters that lie side by side and are one cloth, as [the first, how many].
  function runs(quarters) {
    const starts = [0, 1, 2, 3].filter((at) => quarters[at] !== quarters[(at + 3) % 4]);
    return starts.length ? starts.map((at, number) => [at, ((starts[(number + 1) % starts.length] - at + 3) % 4) + 1]) : [[0, 4]];
  }

  // One patch as SVG: its cloths, its seams and, unless it is small, their letters.
  function patchParts(patch, painted, letters) {
    const w = 100 * patch.across, h = 100 * patch.down;
    const corners = [[0, 0], [w, 0], [w, h], [0, h]];
    const middle = [w / 2, h / 2];
    const parts = squares.isPlain(patch)
      ? [area(corners.join(" "), paintOf(painted, patch.quarters[0]))]
      : patch.quarters.map((key, at) => area([corners[at], corners[(at + 1) % 4], middle].join(" "), paintOf(painted, key)));
    const seams = patch.quarters.map((key, at) => (key === patch.quarters[(at + 1) % 4] ? "" : `M${middle}L${corners[(at + 1) % 4]}`)).join("");
    if (seams) parts.push(`<path d="${seams}" stroke="${INK}" stroke-width="2.5"/>`);
    parts.push(`<rect width="${w}" height="${h}" fill="none" stroke="${INK}" stroke-width="2"/>`);
    if (letters) for (const [at, many] of runs(patch.quarters)) parts.push(letter(patch.quarters[at], at, many, w, h, painted));
    return parts.join("");
  }

  function letter(key, at, many, w, h, painted) {
    const toward = at + (many - 1) / 2; // 0: the top, 0.5: the upper right corner
    const far = { 1: 0.66, 2: 0.34, 3: 0.3, 4: 0 }[many];
    const [x, y] = [[0, -1], [1, -1], [1, 0], [1, 1], [0, 1], [-1, 1], [-1, 0], [-1, -1]][Math.round(toward * 2) % 8];
    const own = paintOf(painted, key);
    // Over a pattern a letter has a little of its cloth round it.
    const halo = own.pattern ? `stroke="${own.colour}" stroke-width="9" stroke-linejoin="round" paint-order="stroke"` : "";
    const size = (many === 4 ? 40 : many === 1 ? 22 : 28) / Math.max(1, key.length * 0.7);
    return `<text x="${w / 2 + (x * far * w) / 2}" y="${h / 2 + (y * far * h) / 2}" dy=".36em" font-size="${size}"
      text-anchor="middle" font-weight="700" fill="${own.ink}" ${halo}>${room.escaped(key)}</text>`;
  }

  const patchSvg = (patch, painted, letters = true) => `<svg viewBox="0 0 ${100 * patch.across} ${100 * patch.down}"
    preserveAspectRatio="none" aria-hidden="true">${patchParts(patch, painted, letters)}</svg>`;

  // A whole block, small.
  function blockSvg(block, painted) {
    const [rows, columns] = squares.sizeOf(block.picture);
    const patches = squares.patchesOf(block.picture).map((patch) =>
      `<g transform="translate(${100 * patch.column} ${100 * patch.row})">${patchParts(patch, painted, false)}</g>`);
    return `<svg viewBox="0 0 ${100 * columns} ${100 * rows}" aria-hidden="true">${patches.join("")}</svg>`;
  }

  // What a patch shows, in words.
  function patchWords(patch, painted) {
    const name = (key) => paintOf(painted, key).name;
    const [top, right, bottom, left] = patch.quarters;
    const over = patch.down * patch.across > 1 ? `, over ${patch.down} by ${patch.across} cells` : "";
    if (squares.isPlain(patch)) return name(top) + over;
    if (top === left && right === bottom) return `${name(top)} upper left, ${name(right)} lower right${over}`;
    if (top === right && bottom === left) return `${name(top)} upper right, ${name(bottom)} lower left${over}`;
    return `${name(top)} at the top, ${name(right)} right, ${name(bottom)} at the bottom, ${name(left)} left${over}`;
  }

  room.escaped = (text) => String(text).replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);

  // Only to be seen: how wide a column is beside the others.
  function share(text) {
    const [whole, over] = String(text).trim().split(/\s+(?=\d+\/)/);
    const part = (figure) => { const [a, b] = figure.split("/").map(Number); return b ? a / b : a; };
    const found = part(whole) + (over ? part(over) : 0);
    return found > 0 && Number.isFinite(found) ? Math.round(found * 1000) / 1000 : 1;
  }

  function shares(lengths, number) {
    const given = Array.isArray(lengths) && lengths.length === number ? lengths : Array(number).fill("1");
    return given.map(share);
  }

  room.paint = { toneOf, toneOfCloth, colourOf, paints, definitions, patchSvg, blockSvg, patchWords, shares };
})();

// A photo is chosen, its corners are set, and its cells' colours are sent; the photo itself stays here.
"use strict";
(() => {
  if (!window.sewingRoom) return;
  const { straighten } = window.sewingRoom;
  const find = (selector) => document.querySelector(selector);
  const place = find("#photo");
  const canvas = find("#photo-canvas"), near = find("#photo-near"), stage = find("#photo-stage");
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  const form = find("#photo-form");
  const handles = [...document.querySelectorAll("[data-corner]")];
  const LONGEST = 1400; // pixels of the photo's longer side that are looked at
  const MOST_PIXELS = 40e6;
  const NEAR = 22; // pixels of the photo in half of the magnified spot

  let corners = [];
  let held = null;
  let rings = [];
  place.hidden = false;

  // The lines between cells, from 0 to 1: those of the layout, or of so many like cells.
  function lines() {
    if (place.dataset.lines) return JSON.parse(place.dataset.lines).map((side) => side.map((line) => line / 10000));
    return ["columns", "rows"].map((name) => {
      const many = Math.min(40, Math.max(1, Math.floor(Number(form.elements[name].value)) || 1));
      return Array.from({ length: many + 1 }, (_, line) => line / many);
    });
  }

  // On point: where the corners of the cells' grid lie in what is marked, and the blocks in the grid.
  const slanted = JSON.parse(place.dataset.slanted || "null")?.map((corner) => corner.map((part) => part / 10000));
  const blocks = slanted ? JSON.parse(place.dataset.outlines) : [];

  function doubt(words) {
    find("#photo-doubt").textContent = words;
    find("#photo-doubt").hidden = !words;
  }

  // Choosing

  // Width and height as the file's head says them, so that no huge picture is unpacked; null: no picture that is known.
  async function sizeOf(file) {
    const bytes = new DataView(await file.slice(0, 512 * 1024).arrayBuffer());
    const size = bytes.byteLength;
    if (size > 24 && bytes.getUint32(0) === 0x89504e47) return [bytes.getUint32(16), bytes.getUint32(20)];
    if (size > 30 && bytes.getUint32(0) === 0x52494646) return [1, 1]; // webp: smaller than it may be, told when unpacked
    if (size < 4 || bytes.getUint16(0) !== 0xffd8) return null;
    for (let at = 2; at + 9 < size;) {
      const mark = bytes.getUint16(at);
      if (mark >= 0xffc0 && mark <= 0xffcf && ![0xffc4, 0xffc8, 0xffcc].includes(mark)) return [bytes.getUint16(at + 7), bytes.getUint16(at + 5)];
      at += 2 + bytes.getUint16(at + 2);
    }
    return [1, 1];
  }

  async function chosen(file) {
    const size = await sizeOf(file);
    if (!size) return doubt("This file is no photo that can be read here: choose a JPEG or PNG picture.");
    if (size[0] * size[1] > MOST_PIXELS) {
      return doubt(`This photo has ${Math.round((size[0] * size[1]) / 1e6)} megapixels, more than can be looked at here: take one of at most 40, or send it to yourself smaller.`);
    }
    let picture;
    try {
      picture = await createImageBitmap(file, size[0] > 2 * LONGEST ? { resizeWidth: LONGEST, resizeQuality: "medium" } : {});
    } catch {
      return doubt("This photo is broken and cannot be opened: take it once more, or choose another.");
    }
    const part = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
    canvas.width = Math.max(8, Math.round(picture.width * part));
    canvas.height = Math.max(8, Math.round(picture.height * part));
    pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    doubt("");
    rings = [];
    corners = straighten.guessed(pen.getImageData(0, 0, canvas.width, canvas.height));
    find("#photo-work").hidden = false;
    find("#photo-said").replaceChildren();
    show();
    find("#photo-work").scrollIntoView({ block: "start" });
    if (form) guessCells();
    return undefined;
  }

  const taken = ([file]) => {
    if (file) chosen(file).catch(() => doubt("This photo could not be opened here: choose another."));
  };
  find("#photo-file").addEventListener("change", (event) => taken(event.target.files));

  const photo = () => straighten.straightened(pen.getImageData(0, 0, canvas.width, canvas.height), corners, slanted);
  const sound = () => straighten.isSound(corners, canvas.width, canvas.height);

  // How many cells, until she has said so herself.
  let said = false;
  async function guessCells() {
    if (said || !sound()) return;
    const { across, down } = straighten.changes(photo());
    try {
      const answer = await fetch("/draw/photo/cells", { method: "POST", body: new URLSearchParams({ across: JSON.stringify(across), down: JSON.stringify(down) }) });
      if (!answer.ok || said) return;
      const [columns, rows] = await answer.json();
      form.elements.columns.value = columns;
      form.elements.rows.value = rows;
      show();
    } catch {
      // she says it herself
    }
  }

  form?.addEventListener("input", () => { said = true; show(); });

  // Showing

  function show() {
    handles.forEach((handle, at) => {
      handle.style.left = `${(100 * corners[at][0]) / canvas.width}%`;
      handle.style.top = `${(100 * corners[at][1]) / canvas.height}%`;
    });
    const drawing = find("#photo-lines");
    drawing.setAttribute("viewBox", `0 0 ${canvas.width} ${canvas.height}`);
    if (!sound()) return drawing.replaceChildren();
    const matrix = straighten.homography(corners);
    const at = (u, v) => straighten.through(matrix, u, v).map((value) => value.toFixed(1)).join(" ");
    const spot = (u, v) => at(...straighten.within(slanted ?? straighten.WHOLE, u, v));
    const [columns, rows] = lines();
    const outline = ([row, column, down, across]) => {
      const [l, r, t, b] = [columns[column], columns[column + across], rows[row], rows[row + down]];
      return `M${spot(l, t)}L${spot(r, t)}L${spot(r, b)}L${spot(l, b)}Z`;
    };
    const cells = () => columns.map((u) => `M${spot(u, 0)}L${spot(u, 1)}`).join("") + rows.map((v) => `M${spot(0, v)}L${spot(1, v)}`).join("");
    const grid = slanted ? blocks.map(outline).join("") + `M${at(0, 0)}L${at(1, 0)}L${at(1, 1)}L${at(0, 1)}Z` : cells();
    const ringed = rings.map(outline).join("");
    drawing.innerHTML = ["under", "over"].map((name) => `<path class="${name}" d="${grid}"/>`).join("")
      + (ringed ? `<path class="ring-under" d="${ringed}"/><path class="ring" d="${ringed}"/>` : "");
    return undefined;
  }

  function magnify(at) {
    const [x, y] = corners[at];
    const ink = near.getContext("2d");
    ink.fillStyle = "#14181d";
    ink.fillRect(0, 0, near.width, near.height);
    ink.drawImage(canvas, x - NEAR, y - NEAR, 2 * NEAR, 2 * NEAR, 0, 0, near.width, near.height);
    ink.strokeStyle = "#d40f5c";
    ink.lineWidth = 2;
    ink.beginPath();
    ink.moveTo(near.width / 2, 0);
    ink.lineTo(near.width / 2, near.height);
    ink.moveTo(0, near.height / 2);
    ink.lineTo(near.width, near.height / 2);
    ink.stroke();
    // On the other side of the picture, where no hand lies.
    near.style.left = x < canvas.width / 2 ? "auto" : "4px";
    near.style.right = x < canvas.width / 2 ? "4px" : "auto";
    near.style.top = y < canvas.height / 2 ? "auto" : "4px";
    near.style.bottom = y < canvas.height / 2 ? "4px" : "auto";
    near.hidden = false;
  }

  function move(at, x, y) {
    corners[at] = [Math.min(canvas.width, Math.max(0, x)), Math.min(canvas.height, Math.max(0, y))];
    rings = [];
    show();
    magnify(at);
    doubt(sound() ? "" : "The corners are crossed or too near each other: drag each ring to its own corner.");
  }

  handles.forEach((handle, at) => {
    handle.addEventListener("pointerdown", (event) => {
      const box = canvas.getBoundingClientRect();
      const scale = canvas.width / box.width;
      held = { at, scale, dx: corners[at][0] - (event.clientX - box.left) * scale, dy: corners[at][1] - (event.clientY - box.top) * scale };
      handle.setPointerCapture(event.pointerId);
      magnify(at);
    });
    handle.addEventListener("pointermove", (event) => {
      if (held?.at !== at) return;
      const box = canvas.getBoundingClientRect();
      move(at, (event.clientX - box.left) * held.scale + held.dx, (event.clientY - box.top) * held.scale + held.dy);
    });
    for (const end of ["pointerup", "pointercancel"]) {
      handle.addEventListener(end, () => { held = null; near.hidden = true; if (form) guessCells(); });
    }
    handle.addEventListener("keydown", (event) => {
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
      if (!way) return;
      event.preventDefault();
      const far = (event.shiftKey ? 1 : 8) * Math.max(1, canvas.width / 700);
      move(at, corners[at][0] + way[0] * far, corners[at][1] + way[1] * far);
    });
    handle.addEventListener("blur", () => { near.hidden = true; });
  });

  // Looking

  const sampled = () => JSON.stringify(straighten.samples(photo(), ...lines()));

  async function look() {
    find("#photo-said").textContent = "Looking …";
    try {
      const answer = await fetch(location.pathname + location.search, { method: "POST", body: new URLSearchParams({ samples: sampled() }) });
      const told = answer.headers.get("Content-Type")?.includes("json") ? await answer.json() : {};
      find("#photo-said").replaceChildren();
      if (!told.html) return doubt(told.doubt ?? "The computer could not look at it: try once more.");
      find("#photo-said").innerHTML = told.html;
      rings = told.rings.map((ring) => turnedBack(ring, told.turned));
      show();
    } catch {
      find("#photo-said").replaceChildren();
      doubt("The computer does not answer, and the photo cannot be looked at without it. Photo and corners stay: try again when it is back.");
    }
    return undefined;
  }

  // The plan's cells in a photo that was turned so many quarters clockwise to be read.
  function turnedBack([row, column, down, across], turns) {
    let [many, all] = lines().map((side) => side.length - 1);
    let ring = [row, column, down, across];
    for (let turn = 0; turn < turns; turn += 1) {
      const [r, c, d, a] = ring;
      ring = [many - c - a, r, a, d];
      [many, all] = [all, many];
    }
    return ring;
  }

  find("#photo-look").addEventListener("click", (event) => {
    if (!sound()) {
      event.preventDefault();
      doubt("The corners are crossed or too near each other: drag each ring to its own corner.");
    } else if (form) form.elements.samples.value = sampled();
    else look();
  });

  // Chosen before this script was there, or kept by a browser that comes back to the page.
  taken(find("#photo-file").files);
})();

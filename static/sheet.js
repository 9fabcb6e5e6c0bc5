// A drawn plan, as the computer makes it of a plan's text and writes it as one: head, cloths, blocks, quilt, rest.
// Nothing here touches the page: each function gives a new sheet and leaves the old one as it was.
"use strict";
(() => {
  if (!window.sewingRoom) return;
  const { squares } = window.sewingRoom;
  const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";

  const put = (list, index, change) => list.map((each, at) => (at === index ? { ...each, ...change } : each));
  const without = (table, ...keys) => Object.fromEntries(Object.entries(table).filter(([key]) => !keys.includes(key)));
  // An empty text takes the key out.
  const set = (table, key, value) => (value === "" || value === null || value === false ? without(table, key) : { ...table, [key]: value });

  const withHead = (sheet, key, value) => ({ ...sheet, head: set(sheet.head, key, value) });
  const withQuilt = (sheet, key, value) => ({ ...sheet, quilt: set(sheet.quilt, key, value) });

  // Cloths

  function newCloth(sheet, cloth) {
    const taken = sheet.cloths.map((cloth) => cloth.key);
    let key = [...LETTERS].find((letter) => !taken.includes(letter));
    for (let number = 1; !key; number += 1) if (!taken.includes(`A${number}`)) key = `A${number}`;
    return [{ ...sheet, cloths: [...sheet.cloths, { key, ...cloth }] }, key];
  }

  const withCloth = (sheet, index, key, value) =>
    ({ ...sheet, cloths: sheet.cloths.map((cloth, at) => (at === index ? set(cloth, key, value) : cloth)) });

  // How its print lies: with a direction, and upright in every block. What has no direction need not stand.
  const withPrint = (sheet, index, directional, upright) =>
    withCloth(withCloth(sheet, index, "directional", directional), index, "upright", directional && upright);

  // The cloths of a pieced border's row of cells.
  const tokensOf = (picture) => String(picture).split(/[\s/\\:]+/);

  const PICTURES = { squares: (a, b) => `${a}  ${b}`, teeth: (a, b) => `${a}/${b}`, peaks: (a, b) => `${a}/${b}  ${b}\\${a}` };

  // What a border's strips are made of, in a word; its cloths, the first and another.
  function piecesOf(border) {
    if (border.outer_sash) return "outer sash";
    if (!border.picture) return "";
    const [a, b] = clothsOf(border);
    const plain = String(border.picture).trim().split(/\s+/).join("  ");
    return Object.keys(PICTURES).find((name) => PICTURES[name](a, b) === plain) ?? "own";
  }

  const clothsOf = (border) => (border.picture ? [...new Set(tokensOf(border.picture.trim()).filter((key) => key && key !== "<"))] : [border.fabric]);

  function withPieces(border, name, fabric, other) {
    const { picture, outer_sash: _, lengthwise, ...rest } = border;
    if (name === "own") return { ...rest, fabric, picture };
    if (PICTURES[name]) return { ...rest, fabric, picture: PICTURES[name](fabric, other) };
    return name ? { ...rest, fabric, outer_sash: true } : { ...rest, fabric, ...(lengthwise ? { lengthwise } : {}) };
  }

  // Where a cloth is used, in words for a sentence; none: it can go.
  function usesOf(sheet, key) {
    const found = sheet.blocks.filter((block) => block.picture.flat().some((token) => token.split(/[/\\:]/).includes(key)))
      .map((block) => block.name ?? block.key);
    for (const block of sheet.blocks) if ((block.frame ?? []).some((frame) => frame.fabric === key)) found.push(`the frames of ${block.name ?? block.key}`);
    const { quilt } = sheet;
    if ([quilt.sash?.fabric, quilt.sash?.cornerstone].includes(key)) found.push("the sashes");
    if ((quilt.border ?? []).some((border) => border.corners === key || (border.picture ? tokensOf(border.picture).includes(key) : border.fabric === key))) found.push("the borders");
    for (const part of ["binding", "backing"]) if (quilt[part]?.fabric === key) found.push(`the ${part}`);
    if (quilt.setting_fabric === key) found.push("the triangles");
    return found;
  }

  const withoutCloth = (sheet, index) =>
    (sheet.cloths.length < 2 ? sheet : { ...sheet, cloths: sheet.cloths.filter((_, at) => at !== index) });

  // Blocks

  const withBlock = (sheet, index, change) => ({ ...sheet, blocks: put(sheet.blocks, index, change) });
  const withPicture = (sheet, index, picture) =>
    (picture === sheet.blocks[index].picture ? sheet : withBlock(sheet, index, { picture }));

  // Its frames, inner first; none of them: no word of frames.
  function withFrames(sheet, index, change) {
    const { frame, ...block } = sheet.blocks[index];
    const frames = change(frame ?? []);
    return { ...sheet, blocks: sheet.blocks.map((each, at) => (at === index ? { ...block, ...(frames.length ? { frame: frames } : {}) } : each)) };
  }

  // Rows or columns added (of a cloth) or taken away; their sizes come and go with them.
  function withLine(sheet, index, way, at, cloth) {
    const block = sheet.blocks[index];
    const name = way === "row" ? "rows" : "columns";
    const { addRow, takeRow, addColumn, takeColumn } = squares;
    const change = cloth ? (way === "row" ? addRow : addColumn) : (way === "row" ? takeRow : takeColumn);
    const picture = change(block.picture, at, cloth);
    if (picture === block.picture) return sheet;
    const sizes = block[name];
    if (!sizes) return withBlock(sheet, index, { picture });
    const beside = sizes[Math.min(at, sizes.length - 1)];
    const fresh = cloth ? [...sizes.slice(0, at), beside, ...sizes.slice(at)] : sizes.filter((_, number) => number !== at);
    return withBlock(sheet, index, { picture, [name]: fresh });
  }

  // The sizes of a block: of each cell, of the block, or of each column and row; one of them in place of the others.
  function withSizes(sheet, index, sizes) {
    const { picture, ...block } = without(sheet.blocks[index], "cell", "size", "columns", "rows");
    return { ...sheet, blocks: sheet.blocks.map((each, at) => (at === index ? { ...block, ...sizes, picture } : each)) };
  }

  function newBlock(sheet, from) {
    const taken = sheet.blocks.map((block) => block.key);
    let number = sheet.blocks.length + 1;
    while (taken.includes(`block${number}`)) number += 1;
    const like = sheet.blocks[from ?? 0];
    const picture = from === undefined ? squares.plain(...squares.sizeOf(like.picture), sheet.cloths[0].key) : like.picture;
    const block = { ...like, key: `block${number}`, name: number === 2 ? "Alternate block" : `Alternate block ${number - 1}`, picture };
    return { ...sheet, blocks: [...sheet.blocks, block] };
  }

  function withoutBlock(sheet, index) {
    const gone = sheet.blocks[index].key;
    const blocks = sheet.blocks.filter((_, at) => at !== index);
    return withPlaces({ ...sheet, blocks }, placesOf(sheet).map((row) => row.map((key) => (key === gone ? blocks[0].key : key))));
  }

  // The quilt: a row of block keys for each row; on point every other row is one shorter.

  function placesOf({ quilt, blocks }) {
    if (Array.isArray(quilt.blocks)) return quilt.blocks;
    const across = Number(quilt.across) || 1, down = Number(quilt.down) || 1;
    const row = Array(across).fill(quilt.block ?? blocks[0].key);
    if (quilt.setting !== "on point") return Array(down).fill(row);
    return Array.from({ length: 2 * down - 1 }, (_, number) => (number % 2 ? row.slice(1) : row));
  }

  // Said as shortly as a plan says it: one kind of block by how many, else row by row.
  function withPlaces(sheet, places, setting = sheet.quilt.setting) {
    const kinds = new Set(places.flat());
    const { block, across, down, blocks, ...rest } = sheet.quilt;
    const onPoint = setting === "on point";
    const one = { block: places[0][0], across: places[0].length, down: onPoint ? (places.length + 1) / 2 : places.length };
    return { ...sheet, quilt: { ...(kinds.size === 1 ? one : { blocks: places }), ...set(rest, "setting", onPoint ? setting : "") } };
  }

  // Of another size or setting: what was laid stays where it was, and goes on as it began.
  function withShape(sheet, across, down, setting = sheet.quilt.setting) {
    const old = placesOf(sheet);
    const onPoint = setting === "on point";
    const number = onPoint ? 2 * down - 1 : down;
    const step = onPoint === (sheet.quilt.setting === "on point") ? 1 : onPoint ? 0.5 : 2;
    const places = Array.from({ length: number }, (_, row) => {
      const like = old[Math.floor(row * step) % old.length];
      return Array.from({ length: onPoint ? across - (row % 2) : across }, (_, column) => like[column % like.length] ?? old[0][0]);
    });
    return withPlaces(sheet, places, setting);
  }

  const shapeOf = (sheet) => {
    const places = placesOf(sheet);
    return [places[0].length, sheet.quilt.setting === "on point" ? (places.length + 1) / 2 : places.length];
  };

  const withPlace = (sheet, row, column, key) => withPlaces(
    sheet, placesOf(sheet).map((keys, r) => keys.map((old, c) => (r === row && c === column ? key : old))),
  );

  // Two or more kinds taking turns like the squares of a chequered board; one alone fills all.
  const inTurns = (sheet, keys) => withPlaces(
    sheet, placesOf(sheet).map((row, r) => row.map((_, c) => keys[(r + c) % keys.length])),
  );

  // Quarter turns, clockwise: a pattern that repeats over the quilt; here one for every place.
  const turnOf = ({ quilt: { turns } }, row, column) => {
    const line = Array.isArray(turns) && turns.length ? turns[row % turns.length] : [];
    return Number(line[column % line.length]) || 0;
  };

  function withTurn(sheet, row, column) {
    const places = placesOf(sheet);
    // All rows say as many, also where those on point are one shorter by turns.
    const turns = places.map((_, r) => places[0].map((__, c) =>
      String((turnOf(sheet, r, c) + (r === row && c === column ? 90 : 0)) % 360)));
    return withQuilt(sheet, "turns", turns.flat().some((turn) => turn !== "0") ? turns : "");
  }

  // Lengths by touch: the next mark of `parts` to a whole, up or down; null for what is no plain length. Whole numbers only.
  function stepped(text, parts, up) {
    const found = /^(?:(\d+)(?:\s+|$))?(?:(\d+)\/(\d+))?$/.exec(text.trim()) ?? [];
    const decimal = /^(\d*)[.,](\d+)$/.exec(text.trim());
    let above, below;
    if (decimal) [above, below] = [Number(decimal[1] + decimal[2]), 10 ** decimal[2].length];
    else if (found[1] || found[2]) [above, below] = [Number(found[1] ?? 0) * Number(found[3] ?? 1) + Number(found[2] ?? 0), Number(found[3] ?? 1)];
    if (!below || above > 1e6 || below > 1e4) return null;
    const mark = up ? Math.floor((above * parts) / below) + 1 : Math.ceil((above * parts) / below) - 1;
    if (mark < 1) return null;
    if (parts === 10) return mark % 10 ? `${Math.floor(mark / 10)}.${mark % 10}` : String(mark / 10);
    let [over, under] = [mark % parts, parts];
    while (over && over % 2 === 0) [over, under] = [over / 2, under / 2];
    const whole = Math.floor(mark / parts);
    return over ? `${whole ? `${whole} ` : ""}${over}/${under}` : String(whole);
  }

  window.sewingRoom.sheet = {
    set, without, withHead, withQuilt, newCloth, withCloth, withPrint, usesOf, withoutCloth, withBlock, withPicture, withFrames, withLine, withSizes,
    newBlock, withoutBlock, placesOf, withPlaces, withShape, shapeOf, withPlace, inTurns, turnOf, withTurn, stepped,
    piecesOf, clothsOf, withPieces,
  };
})();

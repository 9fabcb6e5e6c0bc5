// The forms beside the drawing: the block's lines and sizes, the cloths, the quilt round its blocks. They show a sheet, and
// what is changed in them gives a new one.
"use strict";
(() => {
  const room = window.sewingRoom;
  if (!room) return;
  const { sheet: sheets, squares, paint } = room;

  // An element. Listeners by their names (onclick), the rest as attributes.
  function el(tag, attributes = {}, ...inner) {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
      else if (name.startsWith("aria-") && value !== undefined && value !== null) made.setAttribute(name, String(value));
      else if (value === true) made.setAttribute(name, "");
      else if (value !== false && value !== null && value !== undefined) made.setAttribute(name, value);
    }
    made.append(...inner.flat().filter((each) => each !== null && each !== undefined));
    return made;
  }

  const svg = (html, attributes = {}) => {
    const holder = el("span", attributes);
    holder.innerHTML = html;
    return holder;
  };

  const button = (words, onclick, more = {}) => el("button", { type: "button", class: "plain", onclick, ...more }, words);
  const tip = (words) => el("small", {}, words);
  // Beside a field: what is wrong with it, else what is worth knowing.
  const beside = (fault, hint) => (fault ? el("small", { class: "field-fault" }, fault) : hint ? tip(hint) : null);

  function field(id, words, value, onchange, { hint, fault, ...more } = {}) {
    return el("label", { class: "field", for: id }, el("span", {}, words), el("input", {
      id, value: value ?? "", autocomplete: "off", autocapitalize: "none", onchange: (event) => onchange(event.target.value.trim()), "aria-invalid": fault ? true : null, ...more,
    }), beside(fault, hint));
  }

  function choice(id, words, value, options, onchange, { hint, fault } = {}) {
    const select = el("select", { id, "aria-invalid": fault ? true : null, onchange: (event) => onchange(event.target.value) },
      options.map(([key, said]) => el("option", { value: key, selected: key === (value ?? "") }, said)));
    return el("label", { class: "field", for: id }, el("span", {}, words), select, beside(fault, hint));
  }

  const tick = (id, words, value, onchange, { hint, fault } = {}) => el("div", { class: "ticked" }, el("label", { class: "yes-no", for: id },
    el("input", { id, type: "checkbox", checked: Boolean(value), "aria-invalid": fault ? true : null, onchange: (event) => onchange(event.target.checked) }),
    el("span", {}, words)), beside(fault, hint));

  const clothOptions = (sheet, nothing) => [...(nothing ? [["", nothing]] : []), ...sheet.cloths.map((cloth) => [cloth.key, `${cloth.key} ${cloth.name ?? ""}`])];

  const outside = new Map(); // what is said of a number that was typed and cannot be, by its field

  function stepper(id, words, value, onchange, most = 99) {
    const give = (number) => {
      const kept = Math.max(1, Math.min(most, Math.round(number) || 1));
      outside.set(id, kept === number ? "" : `From 1 to ${most}: ${kept} is taken.`);
      document.getElementById(id).value = kept;
      document.getElementById(`${id}-said`).textContent = outside.get(id);
      onchange(kept);
    };
    const now = () => Number(document.getElementById(id).value) || value;
    return el("div", { class: "field stepper" }, el("label", { for: id }, words),
      button("−", () => give(now() - 1), { id: `${id}-less`, "aria-label": `${words}: one less` }),
      el("input", { id, type: "number", inputmode: "numeric", min: 1, max: most, value, onchange: (event) => give(Number(event.target.value)) }),
      button("+", () => give(now() + 1), { id: `${id}-more`, "aria-label": `${words}: one more` }), el("small", { id: `${id}-said`, role: "status" }, outside.get(id) ?? ""));
  }

  // A length, typed, or stepped by quarters of an inch or by half centimetres (five of their tenths).
  function lengthField(page, id, words, value, onchange, hint, fault) {
    const inches = page.unit === "in";
    const step = (up) => () => {
      let next = document.getElementById(id).value;
      for (let times = inches ? 1 : 5; times && next !== null; times -= 1) next = sheets.stepped(next, inches ? 4 : 10, up);
      if (next !== null) onchange(next);
    };
    return el("div", { class: "field length" }, el("label", { for: id }, words), el("div", { class: "stepped" },
      button("−", step(false), { id: `${id}-less`, "aria-label": `${words}: less` }),
      el("input", { id, value: value ?? "", autocomplete: "off", "aria-invalid": fault ? true : null, onchange: (event) => onchange(event.target.value.trim()) }),
      button("+", step(true), { id: `${id}-more`, "aria-label": `${words}: more` })), beside(fault, hint || "\u00a0")); // its room is there before it is known
  }

  // A strip, asked for as it shows: its cut width stands small beside it.
  function strip(page, id, words, table, size, onchange, fault) {
    const value = table.finished ?? (table.cut === undefined ? "" : size?.finished ?? "");
    return lengthField(page, id, words, value, (finished) => onchange((now) => ({ ...sheets.without(now, "cut"), finished })),
      size ? `cut ${size.cut} ${size.unit}` : "", fault);
  }

  const backAndOn = (where) => el("div", { class: "patch-tools" },
    button("Undo", () => {}, { id: `undo-${where}`, "data-undo": "" }), button("Redo", () => {}, { id: `redo-${where}`, "data-redo": "" }));

  // The nearest colour that has a name.
  function colourName(colours, colour) {
    const parts = (hex) => [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16));
    const far = ([, other]) => parts(other).reduce((sum, value, at) => sum + (value - parts(colour)[at]) ** 2, 0);
    const nearest = colours.reduce((best, each) => (far(each) < far(best) ? each : best));
    return nearest[1] === colour ? nearest[0] : `like ${nearest[0]}`;
  }

  // The block

  function blockForm(page) {
    const { sheet, block, sizes } = page;
    const own = sheet.blocks[block];
    const [rows, columns] = squares.sizeOf(own.picture);
    const size = sizes[`block ${own.key}`];
    const line = (way, at, cloth) => () => page.act((now) => sheets.withLine(now, block, way, at, cloth));
    const ground = sheet.cloths[0].key;
    const pair = (name, way, at, last) => el("div", { class: "line-pair", role: "group", "aria-label": name }, el("span", {}, name),
      button("−", line(way, last), { id: `less-${name}`, "aria-label": `${name}: take away`, "aria-disabled": (way === "row" ? rows : columns) < 2 }),
      button("+", line(way, at, ground), { id: `more-${name}`, "aria-label": `${name}: add` }));
    const several = sheet.blocks.length > 1;
    return [
      el("div", { class: "chips", role: "group", "aria-label": "Blocks" },
        sheet.blocks.map((each, number) => button(svg(paint.blockSvg(each, page.painted), { class: "small-block" }), () => page.turnTo(number),
          { id: `block-${number}`, class: "plain chip", "aria-pressed": number === block, "aria-label": each.name ?? each.key })),
        button("+ Block", () => page.addBlock(), { id: "add-block" }), button("Copy it", () => page.addBlock(block), { id: "copy-block" }),
        several ? button("Take it out", () => page.takeBlock(), { id: "take-block" }) : null),
      field("block-name", "Name", own.name ?? own.key, (name) => page.act((now) => sheets.withBlock(now, block, { name: name || own.key }))),
      el("fieldset", {}, el("legend", {}, "Rows and columns"), el("div", { class: "line-pairs" },
        pair("Top row", "row", 0, 0), pair("Bottom row", "row", rows, rows - 1),
        pair("Left column", "column", 0, 0), pair("Right column", "column", columns, columns - 1)),
      tip(`${rows} ${rows === 1 ? "row" : "rows"} of ${columns}`)),
      el("fieldset", {}, el("legend", {}, "Sizes, finished"), blockSizes(page, own, size)),
      frames(page, own),
      tick("combine", "Make larger units whole where that saves seams", own.combine, (on) => page.act((now) => withFlag(now, block, "combine", on))),
      tick("diagonal", "Piece halves, bands and nested squares on the diagonal", own.diagonal, (on) => page.act((now) => withFlag(now, block, "diagonal", on))),
      tick("on_point", "Patches stand on their points: sew them on the diagonal, with triangles at the edges", own.on_point, (on) => page.act((now) => withFlag(now, block, "on_point", on)), { fault: page.faultOf(own.key, "on_point") }),
      columns === 3 && rows === 3 || own.cut_up ? cutUp(page, own) : null,
      rows === 4 && columns === 4 || own.diamonds ? tick("diamonds", "Sew the eight-pointed star of 45° diamonds, its corners and sides set in", own.diamonds, (on) => page.act((now) => withFlag(now, block, "diamonds", on)), { fault: page.faultOf(own.key, "diamonds") }) : null,
      tick("strips", "Sew like rows of plain cells from strips", own.strips, (on) => page.act((now) => withFlag(now, block, "strips", on))),
    ];
  }

  // What is done with the quarters of a nine-patch that is cut up, by the turns of each.
  const CUT_UP = [
    ["two opposite quarters turned half round", [["0", "180"], ["180", "0"]]],
    ["all turned half round", [["180", "180"], ["180", "180"]]],
    ["all turned a quarter", [["90", "90"], ["90", "90"]]],
  ];

  function cutUp(page, own) {
    const { block } = page;
    const found = CUT_UP.findIndex(([, turns]) => JSON.stringify(turns) === JSON.stringify(own.cut_up));
    const ways = [["", "no"], ...CUT_UP.map(([words], number) => [String(number), words])];
    if (own.cut_up && found < 0) ways.push(["own", "as the text says"]);
    return choice("cut-up", "Sew the nine-patch, cut it in four", own.cut_up ? (found < 0 ? "own" : String(found)) : "", ways, (way) => page.act((now) => {
      if (way === "own") return now;
      const changed = way === "" ? sheets.without(now.blocks[block], "cut_up") : { ...now.blocks[block], cut_up: CUT_UP[Number(way)][1] };
      return { ...now, blocks: now.blocks.map((each, at) => (at === block ? changed : each)) };
    }), { fault: page.faultOf(own.key, "cut_up") });
  }

  function withFlag(sheet, index, name, on) {
    const block = on ? { ...sheet.blocks[index], [name]: true } : sheets.without(sheet.blocks[index], name);
    return { ...sheet, blocks: sheet.blocks.map((each, at) => (at === index ? block : each)) };
  }

  // "9", or "9 x 6": across and down.
  function bothSides(text) {
    const sides = text.split(/\s*[x×]\s*/);
    return sides.length === 2 ? sides : text;
  }

  function blockSizes(page, own, size) {
    const { block } = page;
    const give = (change) => page.act((now) => sheets.withSizes(now, block, change));
    const way = own.columns ? "uneven" : own.size !== undefined ? "size" : "cell";
    const [rows, columns] = squares.sizeOf(own.picture);
    const parts = (text) => (text ?? "").split("  ").filter(Boolean);
    const even = size?.cell ?? "2";
    const change = {
      cell: () => give({ cell: even }),
      size: () => give({ size: bothSides(size?.inside ?? "12") }),
      uneven: () => give({
        columns: parts(size?.columns).length === columns ? parts(size.columns) : Array(columns).fill(even),
        rows: parts(size?.rows).length === rows ? parts(size.rows) : Array(rows).fill(even),
      }),
    };
    const found = [choice("size-way", "I give", way, [["cell", "a cell's side"], ["size", "the block's side"], ["uneven", "each column and row"]], (chosen) => change[chosen]())];
    if (way === "cell") found.push(lengthField(page, "cell", "Cell", own.cell, (cell) => give({ cell }), size?.patch ? `a whole patch is cut ${size.patch}` : "", page.faultOf(own.key, "cell")));
    if (way === "size") {
      const both = Array.isArray(own.size) ? own.size : [own.size];
      found.push(lengthField(page, "size", "Block", both.join(" x "), (text) => give({ size: bothSides(text) }), size?.cell ? `cells of ${size.cell}; a whole patch is cut ${size.patch}` : "", page.faultOf(own.key, "size")));
    }
    if (way === "uneven") {
      for (const name of ["columns", "rows"]) {
        found.push(el("div", { class: "lengths", role: "group", "aria-label": name }, el("span", {}, name === "columns" ? "Columns" : "Rows"), own[name].map((length, number) =>
          el("input", {
            id: `${name}-${number}`, value: length, "aria-label": `${name === "columns" ? "Column" : "Row"} ${number + 1}`, autocomplete: "off",
            onchange: (event) => page.act((now) => {
              const { columns: across, rows: down } = now.blocks[block];
              const sizes = { columns: across, rows: down };
              return sheets.withSizes(now, block, { ...sizes, [name]: sizes[name].map((old, at) => (at === number ? event.target.value.trim() : old)) });
            }),
          }))));
      }
    }
    if (size) found.push(el("p", { class: "comes" }, `The block: ${size.finished} finished `, tip(`${size.cut} with its seam allowance`)));
    return found;
  }

  function frames(page, own) {
    const give = (change) => page.act((now) => sheets.withFrames(now, page.block, change));
    const put = (number, change) => give((list) => list.map((each, at) => (at === number ? change(each) : each)));
    const rows = (own.frame ?? []).map((frame, number) => el("div", { class: "strip-row" },
      choice(`frame-cloth-${number}`, `Frame ${number + 1}`, frame.fabric, clothOptions(page.sheet), (fabric) => put(number, (now) => ({ ...now, fabric }))),
      strip(page, `frame-${number}`, "Finished width", frame, page.sizes[`frame ${own.key} ${number}`], (change) => put(number, change),
        page.faultOf(own.key, `finished of frame ${number + 1}`)),
      button("Take away", () => give((list) => list.filter((_, at) => at !== number)), { id: `frame-gone-${number}`, "aria-label": `Take frame ${number + 1} away` })));
    return el("fieldset", {}, el("legend", {}, "Frames round the block"), rows,
      button("+ Frame", () => give((list) => [...list, { fabric: page.hand.cloth, finished: page.unit === "in" ? "1" : "2.5" }]), { id: "add-frame" }));
  }

  // The cloths

  function clothForm(page) {
    const seen = el("div", { class: "patch-tools", role: "group", "aria-label": "Show" }, [["colours", "Colours"], ["patterns", "Patterns"], ["greys", "Greys: light and dark"]]
      .map(([name, words]) => button(words, () => page.see(name), { id: `see-${name}`, "aria-pressed": page.seen === name })));
    return [
      backAndOn("cloths"), seen,
      ...page.sheet.cloths.map((cloth, number) => oneCloth(page, cloth, number)),
      button("+ Cloth", () => page.addCloth(), { id: "add-cloth" }),
    ];
  }

  function oneCloth(page, cloth, number) {
    const give = (key) => (value) => page.act((now) => sheets.withCloth(now, number, key, value));
    const colour = paint.colourOf(cloth);
    const named = colourName(page.colours, colour);
    const swatch = el("button", { type: "button", class: "plain cloth-swatch", id: `swatch-${number}`, "aria-expanded": page.palette === number, onclick: () => page.openPalette(number) },
      svg(paint.patchSvg({ down: 1, across: 1, quarters: Array(4).fill(cloth.key) }, page.painted)), el("span", {}, `Colour: ${named}`));
    const follows = paint.toneOf(colour);
    const tone = paint.toneOfCloth(cloth); // said without opening anything: seams are pressed toward the dark
    const shade = ["Light", "Medium", "Dark"][Math.floor((tone - 1) / 3)];
    const tones = [["", `follows the colour: ${follows}`], ...[1, 2, 3, 4, 5, 6, 7, 8, 9].map((tone) => [String(tone), `${tone}${tone === 1 ? " lightest" : tone === 9 ? " darkest" : ""}`])];
    const used = sheets.usesOf(page.sheet, cloth.key);
    return el("fieldset", { class: "cloth" }, el("legend", {}, `${cloth.key}`),
      el("div", { class: "cloth-head" }, swatch,
        field(`cloth-name-${number}`, "Name", cloth.name, (name) => give("name")(name || named))),
      page.palette === number ? palette(page, cloth, number) : null,
      el("details", { id: `cloth-more-${number}`, open: page.open.has(`cloth-more-${number}`), ontoggle: (event) => page.opened(event.target) },
        el("summary", {}, `${shade}, tone ${tone} of 9; in the cupboard, direction`),
        choice(`tone-${number}`, "Light or dark", cloth.tone === undefined ? "" : String(cloth.tone), tones, (tone) => give("tone")(tone === "" ? "" : Number(tone))),
        field(`have-${number}`, "In the cupboard", cloth.have, give("have"), { fault: page.faultOf("", `fabrics.${cloth.key}.have`), placeholder: page.unit === "in" ? "1 1/2 yd" : "1.5 m" }),
        field(`quarters-${number}`, "Fat quarters", cloth.fat_quarters, (text) => give("fat_quarters")(/^\d+$/.test(text) ? Number(text) : text), { inputmode: "numeric", fault: page.faultOf("", `fabrics.${cloth.key}.fat_quarters`) }),
        field(`usable-${number}`, "Width between selvages", cloth.usable, give("usable"), { fault: page.faultOf("", `fabrics.${cloth.key}.usable`), placeholder: page.unit === "in" ? "40" : "100" }),
        print(page, cloth, number),
        used.length ? tip(`Used in ${used.slice(0, 3).join(", ")}${used.length > 3 ? " …" : ""}.`)
          : button("Take this cloth out", () => page.act((now) => sheets.withoutCloth(now, number)), { id: `cloth-gone-${number}`, "aria-disabled": page.sheet.cloths.length < 2 })));
  }

  // Whether its print has a direction, and has to stand; what that costs, or what will not have it so.
  function print(page, cloth, number) {
    const give = (directional, upright) => page.act((now) => sheets.withPrint(now, number, directional, upright));
    const { faults, figures } = page.told();
    const fault = faults.find((each) => each.cloth === cloth.key)?.words;
    const costs = (!faults.length && figures.upright) || "\u00a0"; // its room is there before it is known
    const { upright = false } = cloth;
    return [
      tick(`directional-${number}`, "Its print has a direction", cloth.directional || upright, (on) => give(on, false)),
      cloth.directional || upright ? el("div", { class: "further" },
        tick(`upright-${number}`, "Every print stands upright", upright, (on) => give(true, on),
          { fault, hint: upright ? costs : "Else it may come to lie turned in some units." })) : null,
    ];
  }

  function palette(page, cloth, number) {
    const choose = (colour, name) => {
      page.palette = null;
      page.act((now) => {
        const old = now.cloths[number];
        const auto = page.colours.some(([each]) => each === old.name) || /^cloth \w+$/.test(old.name ?? "");
        const changed = sheets.withCloth(sheets.withCloth(now, number, "color", ""), number, "colour", colour);
        return auto && name ? sheets.withCloth(changed, number, "name", name) : changed;
      });
      document.getElementById(`swatch-${number}`)?.focus();
      page.back();
    };
    const now = paint.colourOf(cloth);
    return el("div", { class: "palette", role: "group", "aria-label": `Colours for ${cloth.name ?? cloth.key}` },
      page.backToBlock ? button("Back to the block", () => { page.palette = null; page.back(); }, { id: "back-to-block" }) : null,
      page.colours.map(([name, colour]) => {
        const made = el("button", { type: "button", class: "colour", title: name, "aria-label": name, "aria-pressed": colour === now, onclick: () => choose(colour, name) });
        made.style.background = colour;
        return made;
      }),
      el("label", { class: "field own-colour", for: `own-${number}` }, el("span", {}, "Another"), el("input", { id: `own-${number}`, type: "color", value: now, onchange: (event) => choose(event.target.value) })));
  }

  // The quilt

  function quiltForm(page) {
    const { sheet, sizes } = page;
    const { quilt, head } = sheet;
    const [across, down] = sheets.shapeOf(sheet);
    const give = (key) => (value) => page.act((now) => sheets.withQuilt(now, key, value));
    const change = (key, make) => page.act((now) => sheets.withQuilt(now, key, make(now.quilt[key])));
    const first = sheet.cloths[0].key;
    const toggled = (key, fresh) => (on) => give(key)(on ? fresh : "");
    const onPoint = quilt.setting === "on point";
    return [
      backAndOn("quilt"),
      field("title", "Name of the quilt", head.title, (title) => page.act((now) => sheets.withHead(now, "title", title || "Quilt"))),
      el("div", { class: "two" },
        stepper("across", "Blocks across", across, (number) => page.act((now) => sheets.withShape(now, number, sheets.shapeOf(now)[1]))),
        stepper("down", "Blocks down", down, (number) => page.act((now) => sheets.withShape(now, sheets.shapeOf(now)[0], number)))),
      onPoint ? tip(`On point: rows of ${across}${across > 1 ? ` and ${across - 1}` : ""} by turns, ${sheets.placesOf(sheet).flat().length} blocks in all.`) : null,
      el("fieldset", {}, el("legend", {}, "Which block where"),
        el("div", { class: "chips", role: "group", "aria-label": "Block in the hand" }, sheet.blocks.map((each, number) =>
          button(svg(paint.blockSvg(each, page.painted), { class: "small-block" }), () => page.take(number), { id: `take-${number}`, class: "plain chip", "aria-pressed": page.block === number && !page.turning, "aria-label": each.name ?? each.key })),
        button("Turn", () => page.takeTurn(), { id: "turn-block", "aria-pressed": page.turning })),
        el("div", { class: "paper-room" }, page.placeBoard),
        el("div", { class: "chips" },
          button("All of this block", () => page.act((now) => sheets.inTurns(now, [now.blocks[page.block].key])), { id: "all-one" }),
          sheet.blocks.length > 1 ? button("Blocks take turns", () => page.act((now) => sheets.inTurns(now, now.blocks.map((each) => each.key))), { id: "take-turns" }) : null,
          quilt.turns ? button("None turned", () => give("turns")(""), { id: "no-turns" }) : null),
        beside(page.faultOf("", "quilt.turns"))),
      choice("setting", "Setting", quilt.setting ?? "straight", [["straight", "straight"], ["on point", "on point"]], (setting) => page.act((now) => {
        const laid = sheets.withShape(now, ...sheets.shapeOf(now), setting);
        const set = sheets.withQuilt(laid, "setting_fabric", setting === "on point" ? laid.quilt.setting_fabric ?? first : "");
        return setting === "on point" ? set : sheets.withQuilt(set, "floats", "");
      }), { fault: page.faultOf("", "quilt.setting") }),
      onPoint ? [
        choice("setting-cloth", "Triangles", quilt.setting_fabric, clothOptions(sheet), give("setting_fabric")),
        field("floats", "Points float inside the edge by", quilt.floats, give("floats"), { fault: page.faultOf("", "quilt.floats"), placeholder: "they touch it" }),
      ] : null,
      el("fieldset", {}, el("legend", {}, "Sashes between the blocks"),
        tick("sash", "With sashes", quilt.sash, toggled("sash", { fabric: first, finished: page.unit === "in" ? "1" : "2.5" })),
        quilt.sash ? [
          choice("sash-cloth", "Cloth", quilt.sash.fabric, clothOptions(sheet), (fabric) => change("sash", (now) => ({ ...now, fabric }))),
          strip(page, "sash-width", "Finished width", quilt.sash, sizes.sash, (make) => change("sash", make), page.faultOf("", "quilt.sash.finished")),
          choice("cornerstone", "Cornerstones", quilt.sash.cornerstone, clothOptions(sheet, "none"), (cornerstone) => change("sash", (now) => sheets.set(now, "cornerstone", cornerstone))),
        ] : null),
      borders(page, quilt, (make) => change("border", (now) => make(now ?? []))),
      el("fieldset", {}, el("legend", {}, "Round and behind"),
        choice("binding", "Binding", quilt.binding?.fabric, clothOptions(sheet, "none"), (fabric) => change("binding", (now) => (fabric ? { ...now, fabric } : ""))),
        choice("backing", "Backing", quilt.backing?.fabric, clothOptions(sheet, "none"), (fabric) => change("backing", (now) => (fabric ? { ...now, fabric } : ""))),
        tick("batting", "Batting", quilt.batting, toggled("batting", {}))),
      howItIsMade(page, head),
    ];
  }

  const PIECES = [["", "plain"], ["squares", "squares by turns"], ["teeth", "halves: teeth"], ["peaks", "halves: peaks"], ["outer sash", "as the sashes"], ["own", "its own cells"]];

  const secondCloth = (page, border) => sheets.clothsOf(border)[1] ?? page.sheet.cloths.map((cloth) => cloth.key).find((key) => key !== border.fabric) ?? border.fabric;

  function pieceFault(page, number) {
    const fault = page.faultOf("", `picture of quilt.border ${number + 1}`) || page.faultOf("", `outer_sash of quilt.border ${number + 1}`);
    return fault ? el("small", { class: "field-fault" }, fault) : null;
  }

  function borders(page, quilt, give) {
    const put = (number, change) => give((list) => list.map((each, at) => (at === number ? change(each) : each)));
    const rows = (quilt.border ?? []).map((border, number) => el("div", { class: "strip-row" },
      choice(`border-cloth-${number}`, `Border ${number + 1}`, border.fabric ?? sheets.clothsOf(border)[0], clothOptions(page.sheet), (fabric) => put(number, (now) => sheets.withPieces({ ...now, fabric }, sheets.piecesOf(now), fabric, sheets.clothsOf(now)[1]))),
      choice(`pieces-${number}`, "Its strips", sheets.piecesOf(border), PIECES.filter(([name]) => name !== "own" || sheets.piecesOf(border) === name)
        .filter(([name]) => name !== "outer sash" || (number === 0 && quilt.sash && quilt.setting !== "on point") || border.outer_sash), (name) => put(number, (now) => sheets.withPieces(now, name, now.fabric ?? sheets.clothsOf(now)[0], secondCloth(page, now)))),
      border.picture && sheets.piecesOf(border) !== "own" ? choice(`border-second-${number}`, "and", sheets.clothsOf(border)[1], clothOptions(page.sheet), (other) => put(number, (now) => sheets.withPieces(now, sheets.piecesOf(now), sheets.clothsOf(now)[0], other))) : null,
      pieceFault(page, number),
      strip(page, `border-${number}`, "Finished width", border, page.sizes[`border ${number}`], (change) => put(number, change), page.faultOf("", `finished of quilt.border ${number + 1}`)),
      choice(`corners-${number}`, "Corners", border.corners === "straight" ? "" : border.corners, [...clothOptions(page.sheet, "straight")], (corners) => put(number, (now) => sheets.set(now, "corners", corners))),
      sheets.piecesOf(border) ? null : tick(`lengthwise-${number}`, "Cut down the length of the cloth", border.lengthwise, (on) => put(number, (now) => sheets.set(now, "lengthwise", on))),
      button("Take away", () => give((list) => (list.length > 1 ? list.filter((_, at) => at !== number) : "")), { id: `border-gone-${number}`, "aria-label": `Take border ${number + 1} away` })));
    return el("fieldset", {}, el("legend", {}, "Borders, inner first"), rows,
      button("+ Border", () => give((list) => [...list, { fabric: page.hand.cloth, finished: page.unit === "in" ? "2" : "5" }]), { id: "add-border" }));
  }

  function howItIsMade(page, head) {
    const give = (key, usual) => (value) => page.act((now) => sheets.withHead(now, key, value === usual ? "" : value));
    return el("details", { id: "how", open: page.open.has("how"), ontoggle: (event) => page.opened(event.target) }, el("summary", {}, "How it is made: unit, seam, trimming"),
      choice("unit", "Sizes in", head.unit ?? "in", [["in", "inches"], ["cm", "centimetres"]], give("unit", "in")),
      field("seam", "Seam allowance", head.seam, give("seam"), { fault: page.faultOf("", "seam"), placeholder: page.unit === "in" ? "1/4" : "0.75" }),
      choice("trimming", "Units are cut", head.trimming ?? "roomy", [["roomy", "a little large, and trimmed true"], ["exact", "exactly"]], give("trimming", "roomy")),
      choice("half-square", "Half squares at a time", head.half_square ?? "two", [["two", "two"], ["four", "four"], ["eight", "eight"], ["best", "what is best"]], give("half_square", "two")),
      tick("bonus", "Flipped corners are sewn twice: each gives a bonus half-square", head.bonus, give("bonus", false)),
      choice("press-rows", "Rows are pressed", head.press_rows ?? "best", [["best", "so that seams nest"], ["one way", "one way"], ["flat", "flat"], ["dark", "to the dark"]], give("press_rows", "best")));
  }

  // Put fresh content in place of old, and the focus back where it was.
  function again(holder, content) {
    const id = holder.contains(document.activeElement) ? document.activeElement.id : "";
    holder.replaceChildren(...content.flat().filter((each) => each !== null && each !== undefined));
    if (id) document.getElementById(id)?.focus({ preventScroll: true });
  }

  room.forms = { again, el, svg, button, blockForm, clothForm, quiltForm };
})();

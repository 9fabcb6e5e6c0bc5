// Where the blocks go: the board of the quilt's places on the page that a quilt is drawn on.
"use strict";
(() => {
  const room = window.sewingRoom;
  if (!room) return;
  const { sheet: sheets, paint, forms } = room;
  const MOST_PLACES = 600; // of more a page would be slow; they are laid by turns, or in the text

  // Gives the page its `placeBoard`, and `showPlaces`, which shows its sheet there.
  room.drawPlaces = (page) => {
    const put = (now, row, column) => sheets.withPlace(now, row, column, now.blocks[page.block].key);

    page.placeBoard = forms.el("div", { id: "places", class: "paper places", role: "grid", "aria-label": "Places" });
    const places = room.board(page.placeBoard, {
      tap: (row, column) => page.act((now) => (page.turning ? sheets.withTurn(now, row, column) : put(now, row, column))),
      over(row, column, from) { if (!page.turning) page.act((now) => put(put(now, ...from), row, column)); },
      dropped() {},
      cancelled() {},
      key: () => false,
    });

    page.showPlaces = () => {
      const laid = sheets.placesOf(page.sheet);
      page.placeBoard.hidden = laid.flat().length > MOST_PLACES;
      if (page.placeBoard.hidden) return;
      const onPoint = page.sheet.quilt.setting === "on point";
      const wide = onPoint ? 2 : 1;
      const pictures = new Map(page.sheet.blocks.map((block) => [block.key, paint.blockSvg(block, page.painted)]));
      const names = new Map(page.sheet.blocks.map((block) => [block.key, block.name ?? block.key]));
      const place = (key, row, column) => {
        const turn = sheets.turnOf(page.sheet, row, column);
        return {
          row, column: wide * column + (onPoint ? row % 2 : 0), down: 1, across: wide,
          html: `<span class="turned-${turn}">${pictures.get(key) ?? "?"}</span>`,
          words: `Row ${row + 1}, place ${column + 1}: ${names.get(key) ?? key}${turn ? `, turned by ${turn} degrees` : ""}`,
        };
      };
      places.show({
        rows: laid.length, columns: laid[0].length * wide, least: 44 / wide, widths: Array(laid[0].length * wide).fill(1), heights: Array(laid.length).fill(wide),
        label: `The quilt: ${laid.length} rows of blocks`,
        items: laid.flatMap((keys, row) => keys.map((key, column) => place(key, row, column))),
      });
    };
  };
})();

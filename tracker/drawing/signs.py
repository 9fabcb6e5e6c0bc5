"""Small pictures of tools for drawings of steps: cutter, ruler, pencil, needle, iron, pins, and marks at junctions."""

from __future__ import annotations

from tracker.drawing.canvas import GREY, INK, STEEL, THREAD, Sheet, Spot, Stretch


def _placed(sheet: Sheet, kind: str, spot: Spot, turn: int, shapes: str) -> None:
    """Shapes drawn round (0, 0), put at a spot and turned clockwise."""
    rotated = f" rotate({turn})" if turn else ""
    sheet.add(f'<g class="{kind}" transform="translate({spot[0]} {spot[1]}){rotated}">{shapes}</g>')


def cutter(sheet: Sheet, spot: Spot, turn: int = 0) -> None:
    """A round blade and its handle. Unturned it cuts upward at the spot, the handle below."""
    _placed(
        sheet, "cutter", spot, turn,
        f'<path d="M-13 20L13 20L22 122Q0 140-22 122Z" fill="{STEEL}" stroke="#fff" stroke-width="5"/>'
        f'<circle r="34" fill="#eef3f7" stroke="{INK}" stroke-width="6"/><circle r="9" fill="{INK}"/>',
    )  # fmt: skip


def pencil(sheet: Sheet, spot: Spot) -> None:
    """A pencil whose point is at the spot, standing up to the right."""
    _placed(
        sheet, "pencil-sign", spot, 0,
        f'<path d="M0 0L10-30L82-102L102-82L30-10Z" fill="#f3c94b" stroke="{INK}" stroke-width="5"/>'
        f'<path d="M0 0L6-18L18-6Z" fill="{INK}"/><path d="M10-30L30-10" stroke="{INK}" stroke-width="5"/>',
    )  # fmt: skip


def needle(sheet: Sheet, spot: Spot, turn: int = 0) -> None:
    """A machine's foot seen from above, its needle at the spot. Unturned it sews upward."""
    _placed(
        sheet, "needle", spot, turn,
        f'<path d="M-34-58Q-34-70-22-70H-9V-8A9 9 0 1 0 9-8V-70H22Q34-70 34-58V34H-34Z" fill="#dfe5ea" '
        f'fill-opacity="0.92" stroke="{INK}" stroke-width="6" stroke-linejoin="round"/>'
        f'<path d="M-14 34V58H14V34" fill="#dfe5ea" stroke="{INK}" stroke-width="6"/>'
        f'<circle r="8" fill="{THREAD}" stroke="#fff" stroke-width="3"/>',
    )  # fmt: skip


def foot_sides(spot: Spot, turn: int) -> list[Stretch]:
    """The long sides of the foot at a spot, turned by a multiple of 90 degrees: where letters would be hidden."""
    x, y = spot
    if turn % 180:
        return [((x - 70, y + side), (x + 70, y + side)) for side in (-38, 38)]
    return [((x + side, y - 70), (x + side, y + 70)) for side in (-38, 38)]


def iron(sheet: Sheet, spot: Spot) -> None:
    """An iron seen from its side, centred on the spot."""
    _placed(
        sheet, "iron", spot, 0,
        f'<path d="M-64 40Q-58-16 0-20H44L58 40Z" fill="#dfe5ea" stroke="{INK}" stroke-width="6" '
        f'stroke-linejoin="round"/><path d="M-22-22Q-18-56 14-56H38Q50-54 46-22" fill="none" stroke="{INK}" '
        f'stroke-width="12"/>',
    )  # fmt: skip


def ruler_ground(sheet: Sheet, left: int, top: int, right: int, bottom: int) -> None:
    """A see-through ruler where it lies beyond the cloth: drawn first, so that it does not tint the cloth."""
    sheet.add(f'<path class="ruler" fill="{STEEL}" fill-opacity="0.14" d="M{left} {top}H{right}V{bottom}H{left}Z"/>')


def ruler(sheet: Sheet, left: int, top: int, right: int, bottom: int, marks: int) -> None:
    """A ruler's edges over the cloth, with a tick each `marks` units from its right and top edges."""
    ticks = "".join(f"M{x} {top}v24" for x in range(right - marks, left, -marks))
    ticks += "".join(f"M{right} {y}h-24" for y in range(top + marks, bottom, marks))
    for colour, width in (("#fff", 10), (STEEL, 6)):
        sheet.add(
            f'<path class="ruler" fill="none" stroke="{colour}" stroke-width="{width}" '
            f'd="M{left} {top}H{right}V{bottom}H{left}Z{ticks}"/>'
        )


def pin(sheet: Sheet, head: Spot, point: Spot) -> None:
    """A pin from its head to its point."""
    shape = f"M{head[0]} {head[1]}L{point[0]} {point[1]}"
    sheet.add(
        f'<g class="pin"><path stroke="#fff" stroke-width="13" d="{shape}"/><path stroke="{INK}" stroke-width="6" '
        f'd="{shape}"/><circle cx="{head[0]}" cy="{head[1]}" r="13" fill="#ffd84d" stroke="{INK}" stroke-width="5"/>'
        "</g>"
    )


def left_open(sheet: Sheet, stretch: Stretch) -> None:
    """A part of a seam that is not sewn yet: a white gap with a dark edge on either side."""
    for colour, width in ((INK, 34), ("#fff", 22)):
        sheet.line(stretch, "left-open", colour, width)


def junction(sheet: Sheet, spot: Spot, nests: bool, radius: int) -> None:
    """Where seams meet: a dark disc with a tick where they nest, a white triangle with a stroke where they do not."""
    x, y = spot
    if nests:
        sheet.add(
            f'<g class="nests"><circle cx="{x}" cy="{y}" r="{radius}" fill="{INK}" stroke="#fff" stroke-width="5"/>'
            f'<path d="M{x - radius // 2} {y}l{radius // 3} {radius * 2 // 5}L{x + radius // 2} {y - radius // 3}" '
            f'fill="none" stroke="#fff" stroke-width="{max(radius // 4, 4)}"/></g>'
        )
        return
    corner = f"l{radius * 5 // 4} {radius * 2}h{-radius * 5 // 2}Z"
    sheet.add(
        f'<g class="meets" stroke="{INK}"><path d="M{x} {y - radius * 5 // 4}{corner}" fill="#fff" stroke-width="6" '
        f'stroke-linejoin="round"/><path d="M{x} {y - radius // 2}v{radius}" '
        f'stroke-width="{max(radius // 3, 5)}"/></g>'
    )


def folded_back(sheet: Sheet) -> None:
    """In the line that names the side of the cloth, how a hand presses, from the side: what the seam goes toward lies
    on top, sewn to the cloth below it at its right end, and is folded back over the seam."""
    _placed(
        sheet, "folded-back", (640, 76), 0,
        f'<path fill="#fff" stroke="{INK}" stroke-width="5" d="M0-18H160V0H0Z"/>'
        f'<path fill="{GREY}" stroke="{INK}" stroke-width="5" d="M0-36H160V-18H0Z"/>'
        f'<path fill="none" stroke="{INK}" stroke-width="5" stroke-dasharray="10 7" d="M160-36H320V-18H160"/>'
        f'<path stroke="{THREAD}" stroke-width="9" d="M142 3V-40"/>'
        f'<path fill="none" stroke="{INK}" stroke-width="8" d="M50-38Q150-80 244-54"/>'
        f'<path fill="{INK}" d="M276-40L236-36L246-70Z"/>',
    )  # fmt: skip


BAG = 38
"""How far the sign of a bag reaches from its middle."""


def bag(sheet: Sheet, spot: Spot, name: str) -> None:
    """Into which of two bags a piece goes: the bag's letter in a ring, centred on the spot."""
    sheet.add(f'<circle cx="{spot[0]}" cy="{spot[1]}" r="{BAG}" fill="#fff" stroke="{INK}" stroke-width="6"/>')
    sheet.text(spot, name, 56, "bag")


def bag_lines(spot: Spot) -> list[Stretch]:
    """Where the sign of a bag would hide letters."""
    x, y = spot
    return [((x - BAG, y + rise), (x + BAG, y + rise)) for rise in (-BAG, 0, BAG)]


def then(sheet: Sheet, spot: Spot, downward: bool) -> None:
    """A broad grey arrow from one picture to the next, centred on the spot."""
    _placed(
        sheet, "then", spot, 90 if downward else 0,
        f'<path d="M-30-12H0V-32L34 0L0 32V12H-30Z" fill="{GREY}" stroke="#6b6b6b" stroke-width="4"/>',
    )  # fmt: skip

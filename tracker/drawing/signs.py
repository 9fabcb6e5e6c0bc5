"""Small pictures of tools for drawings of steps: cutter, ruler, pencil, needle, iron, pins, and marks at junctions."""

from __future__ import annotations

from tracker.drawing.canvas import GREY, INK, STEEL, THREAD, Sheet, Spot


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


def pencil(sheet: Sheet, spot: Spot, turn: int = 0) -> None:
    """A pencil whose point is at the spot. Unturned it stands up to the right."""
    _placed(
        sheet, "pencil-sign", spot, turn,
        f'<path d="M0 0L12-38L112-138L138-112L38-12Z" fill="#f3c94b" stroke="{INK}" stroke-width="5"/>'
        f'<path d="M0 0L7-22L22-7Z" fill="{INK}"/><path d="M12-38L38-12" stroke="{INK}" stroke-width="5"/>',
    )  # fmt: skip


def needle(sheet: Sheet, spot: Spot, turn: int = 0) -> None:
    """A machine foot with its needle at the spot. Unturned the seam runs upward, into the foot."""
    _placed(
        sheet, "needle", spot, turn,
        f'<path d="M-28-34Q-28-46-16-46H-8V4H8V-46H16Q28-46 28-34V30H-28Z" fill="#dfe5ea" fill-opacity="0.9" '
        f'stroke="{INK}" stroke-width="5"/><circle r="8" fill="{THREAD}" stroke="#fff" stroke-width="3"/>',
    )  # fmt: skip


def iron(sheet: Sheet, spot: Spot) -> None:
    """An iron seen from its side, centred on the spot."""
    _placed(
        sheet, "iron", spot, 0,
        f'<path d="M-64 40Q-58-16 0-20H44L58 40Z" fill="#dfe5ea" stroke="{INK}" stroke-width="6" '
        f'stroke-linejoin="round"/><path d="M-22-22Q-18-56 14-56H38Q50-54 46-22" fill="none" stroke="{INK}" '
        f'stroke-width="12"/>',
    )  # fmt: skip


def ruler(sheet: Sheet, left: int, top: int, right: int, bottom: int, marks: int) -> None:
    """A see-through ruler, with a tick each `marks` units from its right and top edges."""
    ticks = "".join(f"M{x} {top}v22" for x in range(right - marks, left, -marks) if marks)
    ticks += "".join(f"M{right} {y}h-22" for y in range(top + marks, bottom, marks) if marks)
    sheet.add(
        f'<g class="ruler" stroke="{STEEL}"><rect x="{left}" y="{top}" width="{right - left}" '
        f'height="{bottom - top}" fill="{STEEL}" fill-opacity="0.13" stroke-width="6"/>'
        f'<path d="{ticks}" stroke-width="4"/></g>'
    )


def pin(sheet: Sheet, head: Spot, point: Spot, kind: str = "pin") -> None:
    """A pin from its head to its point."""
    shape = f"M{head[0]} {head[1]}L{point[0]} {point[1]}"
    sheet.add(
        f'<g class="{kind}"><path stroke="#fff" stroke-width="13" d="{shape}"/><path stroke="{INK}" '
        f'stroke-width="6" d="{shape}"/><circle cx="{head[0]}" cy="{head[1]}" r="13" fill="#ffd84d" '
        f'stroke="{INK}" stroke-width="5"/></g>'
    )


def junction(sheet: Sheet, spot: Spot, nests: bool, radius: int) -> None:
    """Where seams meet: a disc with a tick where they nest, an upright triangle with a stroke where they do not."""
    x, y = spot
    third = radius // 3
    if nests:
        sheet.add(
            f'<g class="nests"><circle cx="{x}" cy="{y}" r="{radius}" fill="{INK}" stroke="#fff" stroke-width="5"/>'
            f'<path d="M{x - radius // 2} {y}l{third} {radius * 2 // 5}L{x + radius // 2} {y - third}" fill="none" '
            f'stroke="#fff" stroke-width="{max(radius // 4, 4)}"/></g>'
        )
        return
    sheet.add(
        f'<g class="meets"><path d="M{x} {y - radius * 5 // 4}l{radius * 5 // 4} {radius * 2}h{-radius * 5 // 2}Z" '
        f'fill="#fff" stroke="{INK}" stroke-width="6" stroke-linejoin="round"/><path d="M{x} {y - radius // 2}v{radius}" '
        f'stroke="{INK}" stroke-width="{max(radius // 3, 5)}"/></g>'
    )


def then(sheet: Sheet, spot: Spot, downward: bool) -> None:
    """A broad grey arrow from one picture to the next, centred on the spot."""
    _placed(
        sheet, "then", spot, 90 if downward else 0,
        f'<path d="M-30-12H0V-32L34 0L0 32V12H-30Z" fill="{GREY}" stroke="#6b6b6b" stroke-width="4"/>',
    )  # fmt: skip

"""Every way to change one value of a checklist's lists: cutting list, units, blocks, spares, pressings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from tracker.exact.measure import Measure
from tracker.work.pressed import PressVersion
from tracker.work.steps import Checklist, Flow, Size

Changed = tuple[str, str, Checklist]
"""What was changed, how, and the changed checklist."""


def list_mutants(checklist: Checklist, off: Measure) -> Iterator[Changed]:
    """All of them; lengths are changed by `off`, keys for another that there is, or for none."""
    for field, change in (("pieces", _piece), ("units", _unit), ("blocks", _block)):
        rows = getattr(checklist, field)
        for place, row in enumerate(rows):
            for how, changed in change(checklist, row, off):
                yield f"{field} {how}", str(place), _with(checklist, field, rows, place, (changed,))
            yield f"{field} dropped", str(place), _with(checklist, field, rows, place, ())
            yield f"{field} twice", str(place), _with(checklist, field, rows, place, (row, row))
    yield from _spares(checklist)
    yield from _pressing(checklist)


def _with(checklist: Checklist, field: str, rows: tuple[Any, ...], place: int, new: tuple[Any, ...]) -> Checklist:
    changed: dict[str, Any] = {field: (*rows[:place], *new, *rows[place + 1 :])}
    return replace(checklist, **changed)


def other(key: str, keys: list[str]) -> str:
    """The key after this one, or one that is none where it is alone."""
    keys = sorted({*keys, key})
    return keys[(keys.index(key) + 1) % len(keys)] if len(keys) > 1 else "Z"


def cloths(checklist: Checklist) -> list[str]:
    """The cloths that the checklist knows."""
    return [piece.fabric for piece in checklist.pieces]


def sizes(size: Size, off: Measure) -> Iterator[Size]:
    """The size with one side more or less, both ways."""
    for by in (off, -off):
        yield size[0] + by, size[1]
        yield size[0], size[1] + by


def keys_changed(keys: tuple[str, ...], known: list[str]) -> Iterator[tuple[str, ...]]:
    """One key exchanged, left out or said besides."""
    for place, key in enumerate(keys):
        yield (*keys[:place], other(key, known), *keys[place + 1 :])
        yield keys[:place] + keys[place + 1 :]
    yield (*keys, next((key for key in known if key not in keys), "Z"))


def _counts(row: Any, *fields: str) -> Iterator[tuple[str, Any]]:
    for field in fields:
        for by in (1, -1):
            yield field, replace(row, **{field: getattr(row, field) + by})


def _piece(checklist: Checklist, row: Any, off: Measure) -> Iterator[tuple[str, Any]]:
    yield from _counts(row, "count")
    yield "fabric", replace(row, fabric=other(row.fabric, cloths(checklist)))
    yield "use", replace(row, use="frame" if row.use == "unit" else "unit")
    for by in (off, -off):
        yield "width", replace(row, width=row.width + by)
        yield "height", replace(row, height=row.height + by)


def _unit(checklist: Checklist, row: Any, off: Measure) -> Iterator[tuple[str, Any]]:
    yield from _counts(row, "needed", "made", "spare")
    yield "pile", replace(row, pile=other(row.pile, list(checklist.piles)))
    yield "bag", replace(row, bag="A" if row.bag != "A" else None)
    for field in ("finished", "trimmed"):
        for size in sizes(getattr(row, field), off):
            yield field, replace(row, **{field: size})
    for keys in keys_changed(row.fabrics, cloths(checklist)):
        yield "fabrics", replace(row, fabrics=keys)


def _block(checklist: Checklist, row: Any, off: Measure) -> Iterator[tuple[str, Any]]:
    yield from _counts(row, "count")
    yield "key", replace(row, key=other(row.key, [each.key for each in checklist.blocks]))
    for field in ("inner", "unfinished", "finished"):
        for size in sizes(getattr(row, field), off):
            yield field, replace(row, **{field: size})


def _spares(checklist: Checklist) -> Iterator[Changed]:
    spares = checklist.spares
    for pile, count in spares.items():
        rest = {key: each for key, each in spares.items() if key != pile}
        for by in (1, -1):
            yield "spares count", f"{by:+}", replace(checklist, spares={**spares, pile: count + by})
        yield "spares dropped", "", replace(checklist, spares=rest)
        instead = other(pile, list(checklist.piles))
        yield "spares key", "", replace(checklist, spares={**rest, instead: count})
    none = next(pile for pile in checklist.piles if pile not in spares)
    yield "spares added", "", replace(checklist, spares={**spares, none: 1})


def _pressing(checklist: Checklist) -> Iterator[Changed]:
    pressing = checklist.pressing
    for by in (1, -1):
        yield (
            "pressing unnested",
            f"{by:+}",
            replace(checklist, pressing=replace(pressing, unnested=pressing.unnested + by)),
        )
    for number, block in enumerate(pressing.blocks):
        for place, version in enumerate(block.versions):
            for how, changed in _version(version):
                versions = (*block.versions[:place], *changed, *block.versions[place + 1 :])
                blocks = (
                    *pressing.blocks[:number],
                    replace(block, versions=versions),
                    *pressing.blocks[number + 1 :],
                )
                yield f"pressing {how}", version.letter, replace(checklist, pressing=replace(pressing, blocks=blocks))
    for row, places in enumerate(pressing.places):
        for column, lies in enumerate(places):
            new = (
                ("place's block", replace(lies, block=other(lies.block, [each.block for each in pressing.blocks]))),
                ("place's version", replace(lies, version=lies.version + 1)),
                ("place's version", replace(lies, version=lies.version - 1)),
                ("place's turn", replace(lies, turn=(lies.turn + 180) % 360)),
                ("place's turn", replace(lies, turn=(lies.turn + 90) % 360)),
            )
            for how, changed_place in new:
                changed_row = (*places[:column], changed_place, *places[column + 1 :])
                rows = (*pressing.places[:row], changed_row, *pressing.places[row + 1 :])
                yield f"pressing {how}", f"{row} {column}", replace(checklist, pressing=replace(pressing, places=rows))


def _version(version: PressVersion) -> Iterator[tuple[str, tuple[PressVersion, ...]]]:
    yield "version dropped", ()
    yield "version twice", (version, version)
    yield "unnested", (replace(version, unnested=version.unnested + 1),)
    yield "blocks", (replace(version, blocks=version.blocks[1:]),)
    yield "blocks", (replace(version, blocks=(*version.blocks, max(version.blocks) + 1)),)
    yield "letter", (replace(version, letter="Q"),)
    for place, seam in enumerate(version.seams):
        for toward in {*seam.between, None} - {seam.toward}:
            seams = (*version.seams[:place], replace(seam, toward=toward), *version.seams[place + 1 :])
            yield "toward", (replace(version, seams=seams),)


def flows_changed(flows: tuple[Flow, ...], piles: list[str]) -> Iterator[tuple[str, str, tuple[Flow, ...]]]:
    """One count more or less, or another pile."""
    for index, flow in enumerate(flows):
        for how, changed in (
            ("each +1", replace(flow, each=flow.each + 1)),
            ("each -1", replace(flow, each=flow.each - 1)),
            ("pile", replace(flow, pile=other(flow.pile, piles))),
        ):
            yield how.partition(" ")[0], how, (*flows[:index], changed, *flows[index + 1 :])

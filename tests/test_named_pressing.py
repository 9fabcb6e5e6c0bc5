"""Well-known blocks come out as teachers press them, by name and for each order of habits (common practice)."""

from __future__ import annotations

import pytest
from planning import plan_of

from tracker.route.compiler import compile_plan
from tracker.work.pressed import SeamPress

WAYS = ("best", "one way", "flat", "dark")

OUT_IN, IN_OUT = ("<>", "><", "<>"), ("><", "<>", "><")
ONE_WAY = ("<<", ">>", "<<")
"""Where the seams of three rows go, from the left: `<` to the left, `>` to the right."""

STAR = "S R\\S S/R S\nS\\R R R R/S\nS/R R R R\\S\nS R/S S\\R S"

ROWS = {
    # Plain corners and a plain centre: outward to the corners, inward to the centre; toward the dark where asked.
    "Ohio star": ("S S:R:S:R S\nR:S:R:S R R:S:R:S\nS S:R:S:R S", "", (OUT_IN, ONE_WAY, OUT_IN, IN_OUT)),
    "sawtooth star": (STAR, "combine = true", (OUT_IN, ONE_WAY, OUT_IN, IN_OUT)),
    # Pieced corners, plain sides: toward the sides; the middle row the other way.
    "shoo fly": ("S/R S R\\S\nS R S\nR\\S S S/R", "", (IN_OUT, ONE_WAY, IN_OUT, OUT_IN)),
    # Toward the dark patches, which lie outside in two rows and in the middle of the other.
    "nine-patch": ("R S R\nS R S\nR S R", "", (OUT_IN, ONE_WAY, OUT_IN, OUT_IN)),
}
"""A picture, more lines of the block, and where the rows go for each of WAYS."""


def sides(seams: tuple[SeamPress, ...], row: int) -> str:
    """`<>`: the seams between the units of a row, in order."""
    return "".join(
        "<" if seam.toward == seam.between[0] else ">"
        for seam in seams
        if (cell := seam.between[0].cell) is not None and seam.between[1].cell is not None
        if cell[0] == row == seam.between[1].cell[0]
    )


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", ROWS)
def test_rows_go_as_a_teacher_presses_them_and_nest(name: str, way: str) -> None:
    picture, block, wanted = ROWS[name]
    plan = plan_of(picture, block=block, top=f'press_rows = "{way}"')
    (version,) = compile_plan(plan).pressing.blocks[0].versions
    rows = sorted({s.between[0].cell[0] for s in version.seams if s.between[0].cell and s.between[1].cell})
    assert tuple(sides(version.seams, row) for row in rows) == wanted[WAYS.index(way)]
    assert version.unnested == 0


@pytest.mark.parametrize("way", WAYS)
def test_in_a_churn_dash_seams_go_away_from_the_pieced_corners_and_nest(way: str) -> None:
    plan = plan_of("S/R T R\\S\nT S T\nR\\S T S/R", top=f'press_rows = "{way}"')
    (version,) = compile_plan(plan).pressing.blocks[0].versions
    assert version.unnested == 0
    wanted = ONE_WAY if way == "one way" else IN_OUT
    assert tuple(sides(version.seams, row) for row in (1, 2, 3)) == wanted


LOGS = "K S < < M\n^ K S M ^\n^ ^ R ^ ^\n^ ^ T < ^\n^ T < < <"


@pytest.mark.parametrize("way", WAYS)
def test_in_a_log_cabin_every_seam_goes_to_the_log_just_added(way: str) -> None:
    plan = plan_of(LOGS, cell="1", top=f'press_rows = "{way}"')
    (version,) = compile_plan(plan).pressing.blocks[0].versions
    sewn = {(3, 3)}
    for seam in version.seams:
        added = [part for part in seam.between if part.cell not in sewn]
        assert seam.toward in (added or seam.between)
        sewn |= {part.cell for part in seam.between if part.cell is not None}
    assert len(version.seams) == 8

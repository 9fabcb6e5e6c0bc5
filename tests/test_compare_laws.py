"""Laws of comparing: a list written out from its plan agrees with it; of one changed row just that row is told."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

from effort import tries
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from tests.plan_strategies import plans
from tests.quilting import all_pieces
from tracker.exact.measure import Measure
from tracker.plan.model import Backing, Binding, Border, Plan, Sash
from tracker.printed.compare import compare
from tracker.printed.list_findings import ListFinding
from tracker.printed.list_table import ListRow, read_list
from tracker.quilt.borders import CannotCut
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import CannotSew, compile_plan
from tracker.words.json_report import ruler_text

FEW = settings(max_examples=tries(25), deadline=None)
WIDTHS = {"in": ("1 1/2", "2 1/2", "3"), "cm": ("4", "6.5")}

Listed = tuple[str, int, str, str]
"""Cloth, count, width and height, as a list writes them."""


@st.composite
def whole_quilts(draw: DrawFn) -> Plan:
    """A plan with or without sashes, borders, binding and backing round its blocks, straight or on point."""
    plan = draw(plans(most=4, most_blocks=4))
    keys = st.sampled_from(sorted(plan.fabrics))
    width = st.sampled_from([Measure(n) for n in ((2, 3, 4) if plan.unit == "in" else (4, 6, 8))])
    sash = st.none() | st.builds(Sash, keys, width, st.none() | keys)
    borders = st.lists(st.builds(Border, keys, width, st.none() | keys), max_size=2).map(tuple)
    quilt = replace(
        plan.quilt,
        sash=draw(sash),
        borders=draw(borders),
        binding=draw(st.none() | st.builds(Binding, keys, width)),
        backing=draw(st.none() | st.builds(Backing, keys, width)),
    )
    across, down = plan.blocks["b1"].finished(plan.seam)
    if across == down and draw(st.booleans()):
        # On point a row of two lies between two rows of three.
        places = tuple(("b1",) * number for number in (3, 2, 3))
        quilt = replace(quilt, places=places, setting="on point", setting_fabric=draw(keys))
    return replace(plan, quilt=quilt)


def written(plan: Plan) -> list[Listed]:
    """The plan's list as `cut` gives it, pieces of one cloth and size in one row."""
    try:
        pieces = all_pieces(plan)
    except (CannotSew, CannotCut):
        assume(False)
    counts: Counter[tuple[str, str, str]] = Counter()
    for piece in pieces:
        counts[piece.fabric, ruler_text(piece.width, plan), ruler_text(piece.height, plan)] += piece.count
    return [(fabric, count, width, height) for (fabric, width, height), count in counts.items()]


def told(plan: Plan, rows: list[Listed]) -> tuple[ListFinding, ...]:
    """What comparing says of a list, read from its text."""
    text = "fabric;count;width;height\n" + "\n".join(";".join(map(str, row)) for row in rows)
    read, faults = read_list(text, {key: fabric.name for key, fabric in plan.fabrics.items()}, plan.unit)
    assert not faults
    assert [row.line for row in read] == list(range(2, len(rows) + 2))
    return compare(plan, compile_plan(plan), set_quilt(plan), read)


def size(plan: Plan, row: Listed) -> tuple[Measure, Measure]:
    read, _ = read_list(";".join(map(str, row)), {key: f.name for key, f in plan.fabrics.items()}, plan.unit)
    found: ListRow = read[0]
    return found.width, found.height


@FEW
@given(whole_quilts())
def test_a_list_written_out_from_its_plan_agrees_with_it(plan: Plan) -> None:
    assert told(plan, written(plan)) == ()


@FEW
@given(whole_quilts(), st.data())
def test_a_row_left_out_is_missing_and_nothing_else_is_told(plan: Plan, data: st.DataObject) -> None:
    rows = written(plan)
    assume(len(rows) > 1)
    gone = rows.pop(data.draw(st.integers(0, len(rows) - 1)))
    (finding,) = told(plan, rows)
    assert (finding.kind, finding.fabric, finding.matters) == ("missing", gone[0], True)
    assert finding.needed == (gone[1], size(plan, gone))


@FEW
@given(whole_quilts(), st.data())
def test_a_count_that_is_changed_is_found_and_nothing_else_is_told(plan: Plan, data: st.DataObject) -> None:
    rows = written(plan)
    place = data.draw(st.integers(0, len(rows) - 1))
    fabric, count, *sides = rows[place]
    changed = data.draw(st.integers(1, 2 * count + 3).filter(lambda number: number != count))
    rows[place] = (fabric, changed, sides[0], sides[1])
    (finding,) = told(plan, rows)
    kind = "too few" if changed < count else "too many"
    assert (finding.kind, finding.line, finding.matters) == (kind, place + 2, changed < count)
    assert (finding.listed, finding.needed) == ((changed, size(plan, rows[place])), (count, size(plan, rows[place])))
    if 2 * changed == count:
        assert finding.slip == "one set for two"


@FEW
@given(whole_quilts(), st.data())
def test_a_size_that_is_changed_is_found_and_nothing_else_is_told(plan: Plan, data: st.DataObject) -> None:
    rows = written(plan)
    sizes = {(row[0], size(plan, row)) for row in rows}
    place = data.draw(st.integers(0, len(rows) - 1))
    fabric, count, *_ = rows[place]
    right = size(plan, rows[place])
    by = data.draw(st.integers(-30, 30).filter(bool)) * Fraction(1, 16 if plan.unit == "in" else 10)
    changed = (right[0] + by, right[1]) if data.draw(st.booleans()) else (right[0] + by, right[1] + by)
    changed = (max(changed), min(changed))
    assume(changed[1] > 0)
    assume((fabric, changed) not in sizes)
    assume(changed[0] * 10 < plan.fabrics[fabric].usable * 9)  # strips of the cloth's width are another matter
    rows[place] = (fabric, count, ruler_text(changed[0], plan), ruler_text(changed[1], plan))
    for finding in told(plan, rows):
        assert finding.kind in ("wrong size", "not needed", "missing")
        assert finding.line in (place + 2, None)
        assert finding.listed in ((count, changed), None)
        assert finding.needed in ((count, right), None)
    assert told(plan, rows)


@FEW
@given(whole_quilts(), st.data())
def test_a_cloth_that_is_changed_is_found_and_nothing_else_is_told(plan: Plan, data: st.DataObject) -> None:
    rows = written(plan)
    place = data.draw(st.integers(0, len(rows) - 1))
    fabric, count, width, height = rows[place]
    other = data.draw(st.sampled_from(sorted(plan.fabrics)))
    assume(other != fabric)
    assume((other, size(plan, rows[place])) not in {(row[0], size(plan, row)) for row in rows})
    assume(size(plan, rows[place])[0] * 10 < plan.fabrics[other].usable * 9)
    rows[place] = (other, count, width, height)
    found = told(plan, rows)
    assert found
    for finding in found:
        assert finding.line in (place + 2, None)
        assert {finding.fabric, finding.instead or other} == {fabric, other} or finding.fabric == other

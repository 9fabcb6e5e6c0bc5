"""Squares for setting triangles in printed lists: with room to trim, without it, for points that float, and too small.

Sizes by the handbook of the trade: a side square is f√2 + 2s + 2s√2, a corner square f/√2 + 2s + s√2, each 1/2 in
more to trim, and 2 in more where the points float 1 in inside the edge. Of blocks of 9: 13.935 and 7.218.
"""

from __future__ import annotations

import pytest

from tests.quilting import quilt_plan
from tracker.plan.model import Plan
from tracker.printed.compare import compare
from tracker.printed.list_findings import ListFinding
from tracker.printed.list_table import read_list
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import compile_plan
from tracker.words.printed_words import finding_text, told
from tracker.words.step_words import Words

EXACT, LESS, FLOATS, TOUCHES = "exact size", "less room to trim", "points float", "points touch"


def plan_of(trimming: str, floats: str = "") -> Plan:
    """Nine blocks of 9 on point, and four between them."""
    setting = f'setting = "on point"\nsetting_fabric = "B"\n{floats and f"floats = {chr(34)}{floats}{chr(34)}"}'
    return quilt_plan(("9", "9"), 3, 3, setting, f'trimming = "{trimming}"')


def findings(plan: Plan, sides: str, corners: str) -> tuple[ListFinding, ...]:
    """What a list with these squares is told."""
    text = f"A,13,9 1/2,9 1/2\nB,2,{sides},{sides}\nB,2,{corners},{corners}"
    rows, _ = read_list(text, {key: cloth.name for key, cloth in plan.fabrics.items()}, plan.unit)
    return compare(plan, compile_plan(plan), set_quilt(plan), rows)


@pytest.mark.parametrize(
    ("trimming", "floats", "sides", "corners", "expected"),
    [
        # the plan asks for 14 and 7 1/4
        ("exact", "", "14", "7 1/4", []),
        ("exact", "", "14 1/2", "7 3/4", [(2, False, None), (3, False, None)]),
        ("exact", "", "15", "8", [(2, False, FLOATS), (3, False, FLOATS)]),
        ("exact", "", "16", "9 1/4", [(2, False, FLOATS), (3, False, FLOATS)]),
        ("exact", "", "13 7/8", "7 1/8", [(2, True, None), (3, True, None)]),
        ("exact", "", "12 1/2", "7 1/4", [(2, True, None)]),
        ("exact", "", "12 3/4", "6 3/8", [(2, True, None), (3, True, None)]),
        ("exact", "", "18", "12", [(2, False, None), (3, False, None)]),
        # 14 1/2 and 7 3/4
        ("roomy", "", "14", "7 1/4", [(2, False, EXACT), (3, False, EXACT)]),
        ("roomy", "", "14 1/4", "7 1/2", [(2, False, LESS), (3, False, LESS)]),
        ("roomy", "", "15", "8", [(2, False, None), (3, False, None)]),
        ("roomy", "", "16 1/2", "9 3/4", [(2, False, FLOATS), (3, False, FLOATS)]),
        ("roomy", "", "13 7/8", "7 1/8", [(2, True, None), (3, True, None)]),
        ("roomy", "", "18", "12", [(2, False, None), (3, False, None)]),
        # 16 and 9 1/4, whose points float
        ("exact", "1", "16", "9 1/4", []),
        ("exact", "1", "14", "7 1/4", [(2, True, TOUCHES), (3, True, TOUCHES)]),
        ("exact", "1", "16 1/2", "9 3/4", [(2, False, None), (3, False, None)]),
        ("exact", "1", "13 7/8", "9 1/4", [(2, True, None)]),
        # 16 1/2 and 9 3/4
        ("roomy", "1", "16", "9 1/4", [(2, False, EXACT), (3, False, EXACT)]),
        ("roomy", "1", "14", "7 1/4", [(2, True, TOUCHES), (3, True, TOUCHES)]),
        ("roomy", "1", "14 1/2", "7 3/4", [(2, True, TOUCHES), (3, True, TOUCHES)]),
        ("roomy", "1", "17", "10", [(2, False, None), (3, False, None)]),
        ("roomy", "1", "18", "12", [(2, False, FLOATS), (3, False, FLOATS)]),
        ("roomy", "1", "12 3/4", "6 3/8", [(2, True, None), (3, True, None)]),
        ("roomy", "1", "15 7/8", "9 1/8", [(2, True, None), (3, True, None)]),
    ],
)
def test_what_is_roomy_on_purpose_is_not_called_wrong_and_what_is_too_small_not_roomy(
    trimming: str, floats: str, sides: str, corners: str, expected: list[tuple[int, bool, str | None]]
) -> None:
    plan = plan_of(trimming, floats)
    found = findings(plan, sides, corners)
    assert [(each.line, each.matters, each.slip) for each in found] == expected
    words = Words(plan, compile_plan(plan))
    for each in found:
        said = told(words, each)
        assert said.kind == ("wrong size" if each.matters else "other size")
        assert ("no harm" in said.harm) == (not each.matters)
        assert ("too small" in said.harm) == each.matters


def test_what_such_squares_do_is_said() -> None:
    plan = plan_of("roomy", "1")
    words = Words(plan, compile_plan(plan))
    small, large = (findings(plan, sides, "9 3/4")[0] for sides in ("14", "18"))
    assert "That is the size for points that touch the quilt's edge; this plan lets them float inside it." in (
        finding_text(words, small)
    )
    assert finding_text(words, large).startswith(
        "Line 2, bark: other size. The list has 2 of 18 × 18 in; the plan needs 2 of 16½ × 16½ in. Untrimmed, squares "
        "so large let the points float further inside the quilt's edge than planned. It does no harm: they are 1½ in "
        "larger than needed, which is trimmed away, and it takes about"
    )

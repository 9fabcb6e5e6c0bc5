"""What is said of an operation stands in one table."""

from __future__ import annotations

import ast
from typing import get_args

from own_code import trees

from tracker.work.operations import IN_BRIEF, OPERATIONS, STATIONS
from tracker.work.steps import Action


def test_every_kind_of_action_has_its_operation_and_every_operation_its_station() -> None:
    named = {action for operation in OPERATIONS.values() for action in operation.actions}
    assert named == {action.__name__ for action in get_args(Action)}
    assert {operation.station for operation in OPERATIONS.values()} == set(STATIONS)
    assert all(
        name == operation.name and operation.done and operation.seconds for name, operation in OPERATIONS.items()
    )


def test_where_it_can_hurt_there_is_a_caution() -> None:
    harmless = {name for name, operation in OPERATIONS.items() if not operation.caution}
    assert harmless == {"pair", "lay out", "measure"}


def test_each_caution_has_a_line_that_a_narrow_phone_shows_whole() -> None:
    assert set(IN_BRIEF) == {operation.caution for operation in OPERATIONS.values() if operation.caution}
    assert {line: len(line) for line in IN_BRIEF.values() if len(line) > 38 or line[-1] != "."} == {}


def test_no_other_place_lists_operations() -> None:
    """No table, tuple or set elsewhere has several operations in it: one more place to say something of each."""
    lists = []
    for name, node in ((name, node) for name, tree in trees().items() for node in ast.walk(tree)):
        if isinstance(node, ast.Dict | ast.Tuple | ast.Set | ast.List):
            own = node.keys if isinstance(node, ast.Dict) else node.elts
            named = [each.value for each in own if isinstance(each, ast.Constant) and each.value in OPERATIONS]
            lists += [(name, node.lineno, named)] if len(named) > 1 else []
    assert lists == []

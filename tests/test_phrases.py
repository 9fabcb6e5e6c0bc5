"""Nothing reads a phrase back: facts are data (kinds, stages, numbers), words are made of them and only shown.

What is found here is code that compares, cuts or searches a name, a title, an id of a pile or step, or any words.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator

import pytest
from own_code import trees

PHRASES = {"thing", "state", "topic", "title", "titles", "heading", "step_id", "pile_id"}
"""Attributes and names that hold a phrase, or would if facts were words again."""

NAMED = {"thing", "part", "row", "made", "taken", "pile", "step", "flow"}
"""What has a name or an id that says what it is: `row.name`, `pile.id`, `flow.pile`."""

SPEAKERS = {"words", "names"}
"""What makes words: every call of it gives a phrase."""

READERS = {
    "startswith", "endswith", "partition", "rpartition", "split", "rsplit", "removeprefix", "removesuffix", "find",
    "index", "replace", "match", "search", "fullmatch", "sub", "findall",
}  # fmt: skip
"""Methods that read what is in a text."""


class Reader(ast.NodeVisitor):
    """Collects the lines of one function (or module) that read a phrase; `carried` are names that hold one."""

    def __init__(self) -> None:
        self.found: list[int] = []
        self.carried: set[str] = set()

    def is_phrase(self, node: ast.AST) -> bool:
        """Whether an expression is a phrase, or a piece of one."""
        match node:
            case ast.Name(id=name):
                return name in PHRASES | self.carried
            case ast.Attribute(value=value, attr="name" | "id" | "pile"):
                return last_name(value) in NAMED
            case ast.Attribute(attr=name):
                return name in PHRASES
            case ast.Call(func=ast.Attribute(value=value)) if last_name(value) in SPEAKERS:
                return True
            case ast.Call(func=ast.Attribute(value=value, attr="lower" | "strip" | "upper" | "casefold")):
                return self.is_phrase(value)
            case ast.Subscript(value=value):
                return self.is_phrase(value)
            case ast.JoinedStr() | ast.FormattedValue():
                return any(self.is_phrase(child) for child in ast.walk(node) if isinstance(child, ast.Attribute))
        return False

    def visit_Assign(self, node: ast.Assign) -> None:
        self.generic_visit(node)
        for target in node.targets:
            pairs = [(target, node.value)]
            if isinstance(target, ast.Tuple) and isinstance(node.value, ast.Tuple):
                pairs = list(zip(target.elts, node.value.elts, strict=False))
            for name, value in pairs:
                if isinstance(name, ast.Name) and self.is_phrase(value):
                    self.carried.add(name.id)

    def visit_Compare(self, node: ast.Compare) -> None:
        sides = [node.left, *node.comparators]
        if any(map(self.is_phrase, sides)) and any(map(is_text, sides)):
            self.found.append(node.lineno)
        self.generic_visit(node)

    def visit_Match(self, node: ast.Match) -> None:
        if self.is_phrase(node.subject) and any(is_text(each) for each in ast.walk(node) if each is not node.subject):
            self.found.append(node.lineno)
        self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        if isinstance(node.func, ast.Attribute) and node.func.attr in READERS:
            # Of a text itself, or of a pattern that is given one.
            read = [node.func.value, *node.args]
            texts = [each for each in node.args if is_text(each)] or node.func.attr in {"match", "search", "fullmatch"}
            if any(map(self.is_phrase, read)) and texts:
                self.found.append(node.lineno)
        self.generic_visit(node)


def last_name(node: ast.AST) -> str:
    """`row` of row and of each.row."""
    if isinstance(node, ast.Name):
        return node.id
    return node.attr if isinstance(node, ast.Attribute) else ""


def is_text(node: ast.AST) -> bool:
    """Whether an expression is a text written out, or several of them, or made up on the spot."""
    if isinstance(node, ast.Tuple | ast.Set | ast.List):
        return any(map(is_text, node.elts))
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


def read_phrases(tree: ast.Module) -> Iterator[int]:
    """Lines of a file that read a phrase, function by function."""
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]
    for scope in functions or [tree]:
        reader = Reader()
        reader.visit(scope)
        yield from reader.found


def read_lines(source: str) -> Iterator[int]:
    """The same of a text."""
    return read_phrases(ast.parse(source))


def test_no_code_reads_a_phrase() -> None:
    found = {name: sorted(set(read_phrases(tree))) for name, tree in trees().items()}
    assert {name: lines for name, lines in found.items() if lines} == {}


READS = [
    'pile.thing == "row 2"',
    'pile.state in ("cut", "marked")',
    'step.topic.startswith("quilt:")',
    'thing.rpartition("border ")',
    "_ROW.fullmatch(pile.thing)",
    'step.id.split(":")',
    'thing.name.removeprefix("top")',
    '":quilt:" in pile.id',
    'titles[step.id].startswith("Cut")',
    'words.pile(pile, 1).removeprefix("1 ")',
    'flow.pile.startswith("cut")',
    'member == f"{row.name} 1" or pile.thing == f"row {member}"',
]


@pytest.mark.parametrize("read", READS)
def test_a_phrase_that_is_read_is_found(read: str) -> None:
    assert set(read_lines(f"def reads(pile, step):\n    return {read}\n")) == {2}


def test_a_phrase_that_goes_by_another_name_is_found() -> None:
    assert list(read_lines('def reads(pile):\n    said, size = pile.thing, 2\n    return said.endswith("sides")\n'))


def test_facts_and_texts_of_people_may_be_compared() -> None:
    for fair in ("thing.kind is Kind.ROW", "pile.stage in (Stage.CUT,)", 'edges == "sides"', 'text.split("\\n")'):
        assert not list(read_lines(f"def compares(pile, thing, edges, text):\n    return {fair}\n"))

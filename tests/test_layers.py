"""The code keeps its own rules: layers, who may import what, exact numbers, docstrings and annotations."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import tracker

ROOT = Path(tracker.__file__).parent
FILES = {str(path.relative_to(ROOT).with_suffix("")): path for path in sorted(ROOT.rglob("*.py"))}
TREES = {name: ast.parse(path.read_text("utf-8")) for name, path in FILES.items()}

FLOATS = {"disk": "seconds", "network": "seconds", "connections": "seconds", "problems": "likeness of words"}
"""Where a float may stand, and what it counts: nothing that is ever cut or sewn."""

PROOF = ("cloth", "proof")
COMPILER = ("units", "pressing", "compiler")


def layers() -> dict[str, tuple[str, ...]]:
    """The layers that the package's docstring lists, top first: each name with its modules in order."""
    assert tracker.__doc__ is not None
    table = [line[4:] for line in tracker.__doc__.splitlines() if line.startswith("    ")]
    found = {}
    for line in table:
        name, _, rest = line.partition(": ")
        found[name] = tuple(rest.partition(" — ")[0].split(", "))
    return found


def module_of(name: str) -> str:
    """The module, or the package as a whole, that a file belongs to."""
    return name.split("/")[0]


def imports(tree: ast.Module) -> Iterator[str]:
    """Dotted names of all that a file imports, wherever in it."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written out"
            assert node.module is not None
            for alias in node.names:
                file = f"{node.module}.{alias.name}".removeprefix("tracker.").replace(".", "/")
                yield f"{node.module}.{alias.name}" if {file, f"{file}/__init__"} & FILES.keys() else node.module


def own_imports(name: str) -> set[str]:
    """Files of the package that a file imports, as in FILES."""
    dotted = {path.removesuffix("/__init__").replace("/", "."): path for path in FILES if path != "__init__"}
    found = {dotted.get(imported.removeprefix("tracker.")) for imported in imports(TREES[name])}
    return {path for path in found if path is not None and path != name}


ORDER = [module for modules in layers().values() for module in modules]


def test_every_module_has_its_place_in_the_layers_once() -> None:
    modules = {module_of(name) for name in FILES} - {"__init__"}
    assert sorted(ORDER) == sorted(modules)


@pytest.mark.parametrize("name", [name for name in FILES if module_of(name) in ORDER])
def test_a_module_imports_only_what_stands_before_it(name: str) -> None:
    """From the layers above its own, and in its own from those before it; a package may import its own files."""
    own = module_of(name)
    later = {other for other in own_imports(name) if ORDER.index(module_of(other)) > ORDER.index(own)}
    assert not later


def test_no_imports_go_round_in_a_circle() -> None:
    waiting = {name: own_imports(name) for name in FILES}
    while free := {name for name, needs in waiting.items() if not needs & waiting.keys()}:
        waiting = {name: needs for name, needs in waiting.items() if name not in free}
    assert not waiting


def test_the_proof_shares_nothing_with_the_compiler() -> None:
    """What sews a checklist to prove it must not believe what wrote it."""
    table = layers()
    compiler = {module for layer in COMPILER for module in table[layer]}
    for name in FILES:
        if module_of(name) in {module for layer in PROOF for module in table[layer]}:
            assert not {module_of(other) for other in own_imports(name)} & compiler, name


def importers(package: str) -> set[str]:
    """Modules that import an outside package."""
    return {module_of(name) for name, tree in TREES.items() if package in {i.split(".")[0] for i in imports(tree)}}


def test_only_the_store_knows_of_tinydb_and_only_the_web_of_flask() -> None:
    assert importers("tinydb") <= set(layers()["store"])
    assert importers("tinydb")
    assert importers("flask") == {"web"}
    assert importers("waitress") == {"connections", "lanes"}


def floats(tree: ast.Module) -> list[int]:
    """Lines with a float in them, written out or made."""
    return [
        node.lineno
        for node in ast.walk(tree)
        if (isinstance(node, ast.Constant) and isinstance(node.value, (float, complex)))
        or (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "float")
    ]


def test_floats_stand_only_where_no_cloth_is_measured() -> None:
    assert {module_of(name) for name, tree in TREES.items() if floats(tree)} == FLOATS.keys()


Function = ast.FunctionDef | ast.AsyncFunctionDef


def public(tree: ast.Module) -> Iterator[tuple[str, Function | ast.ClassDef]]:
    """Public functions and classes of a module, and public methods of its public classes."""
    for node in tree.body:
        if isinstance(node, (Function, ast.ClassDef)) and not node.name.startswith("_"):
            yield node.name, node
            if isinstance(node, ast.ClassDef):
                for part in node.body:
                    if isinstance(part, Function) and not part.name.startswith("_"):
                        yield f"{node.name}.{part.name}", part


@pytest.mark.parametrize("name", FILES)
def test_public_functions_and_classes_say_what_they_are_for(name: str) -> None:
    """Every module, and every public function and class in it. A method may leave it to its name and its class."""
    assert ast.get_docstring(TREES[name])
    bare = [called for called, node in public(TREES[name]) if "." not in called and not ast.get_docstring(node)]
    assert not bare


@pytest.mark.parametrize("name", FILES)
def test_public_functions_are_fully_annotated(name: str) -> None:
    for called, node in public(TREES[name]):
        if isinstance(node, ast.ClassDef):
            continue
        given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs, node.args.vararg, node.args.kwarg]
        bare = [each.arg for each in given if each is not None and each.annotation is None]
        assert set(bare) <= {"self", "cls"}, called
        assert node.returns is not None, called

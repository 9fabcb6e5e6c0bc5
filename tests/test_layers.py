"""The code keeps its own rules: layers, who may import what, exact numbers, docstrings and annotations."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from functools import cache

from own_code import FILES, ROOT, tree_of, trees

import tracker

FLOATS = {
    "plan/problems": "likeness of words",
    "server/addresses": "seconds",
    "server/connections": "seconds",
    "store/disk": "seconds",
    "seeing/colours": "colours",
    "seeing/shading": "colours",
    "seeing/layout_check": "colours",
    "seeing/photo_drawing": "colours",
}
"""Where a float may stand, and what it counts: nothing that is ever cut or sewn."""

PROOF = {"cloth", "proof"}
COMPILER = {"units", "pressing", "route"}
BELOW_ALL = {"assets", "cli", "plan_commands", "__main__"}
"""What starts it all, and where its templates lie: no packages."""


def listed() -> dict[str, list[str]]:
    """The packages that the package's docstring lists, top first, each with its modules in order (none: any)."""
    assert tracker.__doc__ is not None
    lines = re.sub(r"\n {8}", " ", tracker.__doc__).splitlines()
    found = {}
    for line in (line[4:] for line in lines if line.startswith("    ")):
        names = line.partition(" — ")[0]
        name, _, modules = names.partition(": ")
        found[name] = modules.split(", ") if modules else []
    return found


PACKAGES = listed()


def package_of(name: str) -> str:
    """The package that a file lies in, or the module itself that lies in none."""
    return name.split("/")[0]


def module_of(name: str) -> str:
    """The module of its package, or the package inside it, that a file belongs to; empty for the package itself."""
    return next(iter(name.split("/")[1:]), "").removeprefix("__init__")


@cache
def imports(name: str) -> set[str]:
    """Dotted names of all that a file imports, wherever in it."""
    found = set()
    for node in ast.walk(tree_of(name)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written out"
            assert node.module is not None
            for alias in node.names:
                file = f"{node.module}.{alias.name}".removeprefix("tracker.").replace(".", "/")
                found.add(f"{node.module}.{alias.name}" if {file, f"{file}/__init__"} & FILES.keys() else node.module)
    return found


DOTTED = {path.removesuffix("/__init__").replace("/", "."): path for path in FILES if path != "__init__"}


@cache
def own_imports(name: str) -> set[str]:
    """Files of the package that a file imports, as in FILES."""
    found = {DOTTED.get(imported.removeprefix("tracker.")) for imported in imports(name)}
    return {path for path in found if path is not None and path != name}


ORDER = list(PACKAGES)


def test_every_package_and_module_has_its_place_in_the_map_once() -> None:
    assert sorted(ORDER) == sorted({package_of(name) for name in FILES} - {"__init__"} - BELOW_ALL)
    for package, modules in PACKAGES.items():
        if modules:
            there = {module_of(name) for name in FILES if package_of(name) == package} - {""}
            assert sorted(modules) == sorted(there), package


def test_a_module_imports_only_what_stands_before_it() -> None:
    """From the packages above, and in its own from the modules before it; the files of one module from each other."""
    placed = [name for name in FILES if package_of(name) in ORDER]
    wrong = [(name, other) for name in placed for other in own_imports(name) if not stands_before(other, name)]
    assert wrong == []


def stands_before(other: str, name: str) -> bool:
    """Whether a file may be imported by another."""
    own, package = package_of(name), package_of(other)
    if package != own:
        return package in ORDER[: ORDER.index(own)] or package == "assets"
    modules, module = PACKAGES[own], module_of(name)
    if not modules or not module or module_of(other) in ("", module):
        return True
    return modules.index(module_of(other)) < modules.index(module)


def test_developers_draws_the_same_map() -> None:
    text = (ROOT.parent / "DEVELOPERS.md").read_text("utf-8")
    rows = re.findall(r"^\| `([a-z]+)/` \| (.*?) \|", text, re.M)
    assert [name for name, _ in rows] == ORDER
    for name, modules in rows:
        assert not PACKAGES[name] or re.findall(r"`([a-z_]+)/?`", modules) == PACKAGES[name], name


ONE_NAME = {"__init__", "__main__"}


def test_no_two_files_and_no_two_classes_have_one_name() -> None:
    stems = Counter(path.stem for path in FILES.values() if path.stem not in ONE_NAME)
    classes = Counter(
        node.name for tree in trees().values() for node in ast.walk(tree) if isinstance(node, ast.ClassDef)
    )
    assert [name for name, count in (*stems.items(), *classes.items()) if count > 1] == []


def test_no_imports_go_round_in_a_circle() -> None:
    waiting = {name: own_imports(name) for name in FILES}
    while free := {name for name, needs in waiting.items() if not needs & waiting.keys()}:
        waiting = {name: needs for name, needs in waiting.items() if name not in free}
    assert not waiting


def test_the_proof_shares_nothing_with_the_compiler() -> None:
    """What sews a checklist to prove it must not believe what wrote it."""
    for name in FILES:
        if package_of(name) in PROOF:
            assert not {package_of(other) for other in own_imports(name)} & COMPILER, name


def importers(package: str) -> set[str]:
    """Packages that import an outside one."""
    return {package_of(name) for name in FILES if package in {each.split(".")[0] for each in imports(name)}}


def test_only_the_store_knows_of_tinydb_and_only_the_web_of_flask() -> None:
    assert importers("tinydb") == {"store"}
    assert importers("flask") == {"web"}
    assert importers("waitress") == {"server"}


def floats(tree: ast.Module) -> list[int]:
    """Lines with a float in them, written out or made."""
    return [
        node.lineno
        for node in ast.walk(tree)
        if (isinstance(node, ast.Constant) and isinstance(node.value, (float, complex)))
        or (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "float")
    ]


def test_floats_stand_only_where_no_cloth_is_measured() -> None:
    assert {name for name, tree in trees().items() if floats(tree)} == FLOATS.keys()


Function = ast.FunctionDef | ast.AsyncFunctionDef

MOST_LINES, MOST_LINES_OF_A_FUNCTION = 400, 45


def test_no_file_and_no_function_is_too_long_to_be_taken_in() -> None:
    files = [*FILES.values(), *(path for kind in ("js", "css") for path in (ROOT.parent / "static").glob(f"*.{kind}"))]
    long = {path.name: len(path.read_text("utf-8").splitlines()) for path in files if path.stem != "htmx.min"}
    assert {name: lines for name, lines in long.items() if lines > MOST_LINES} == {}
    functions = [node for tree in trees().values() for node in ast.walk(tree) if isinstance(node, Function)]
    lengths = [(node.name, 1 + (node.end_lineno or 0) - node.lineno) for node in functions]
    assert [each for each in lengths if each[1] > MOST_LINES_OF_A_FUNCTION] == []


def public(tree: ast.Module) -> Iterator[tuple[str, Function | ast.ClassDef]]:
    """Public functions and classes of a module, and public methods of its public classes."""
    for node in tree.body:
        if isinstance(node, (Function, ast.ClassDef)) and not node.name.startswith("_"):
            yield node.name, node
            if isinstance(node, ast.ClassDef):
                for part in node.body:
                    if isinstance(part, Function) and not part.name.startswith("_"):
                        yield f"{node.name}.{part.name}", part


def test_every_module_and_public_function_and_class_says_what_it_is_for() -> None:
    """A method may leave it to its name and its class."""
    bare = [name for name, tree in trees().items() if not ast.get_docstring(tree)]
    for name, tree in trees().items():
        own = [(called, node) for called, node in public(tree) if "." not in called]
        bare += [f"{name}: {called}" for called, node in own if not ast.get_docstring(node)]
    assert bare == []


def test_public_functions_are_fully_annotated() -> None:
    functions = [(name, *each) for name, tree in trees().items() for each in public(tree)]
    assert [(name, called) for name, called, node in functions if not is_annotated(node)] == []


def is_annotated(node: Function | ast.ClassDef) -> bool:
    """Whether all that a function takes and gives has its type; a class has none of its own."""
    if isinstance(node, ast.ClassDef):
        return True
    given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs, node.args.vararg, node.args.kwarg]
    bare = {each.arg for each in given if each is not None and each.annotation is None}
    return bare <= {"self", "cls"} and node.returns is not None

"""The tool's own code, for tests of its rules: its files by their place, such as `plan/model`, and each as a tree."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

import tracker

ROOT = Path(tracker.__file__).parent
FILES = {str(path.relative_to(ROOT).with_suffix("")): path for path in sorted(ROOT.rglob("*.py"))}


@cache
def tree_of(name: str) -> ast.Module:
    """What a file says."""
    return ast.parse(FILES[name].read_text("utf-8"))


def trees() -> dict[str, ast.Module]:
    """What every file says."""
    return {name: tree_of(name) for name in FILES}

"""What a quilt's facts and taps look like: what comes from a file that anybody can write is held to it.

A shape is a type; a tuple of types that may be meant; a list of one shape, for any number of them; a list of several,
for just so many; or a table of shapes by key ("*": all others; a key ending in "!" must be there). Keys that are not
named here are let through, since later versions may know more.
"""

from __future__ import annotations

from typing import Any

Shape = Any

WHOLE_OR_NONE = (int, type(None))

ABOUT: Shape = {
    "title": str,
    "plan": str,
    "demo": bool,
    "made_at": str,
    "put_away": bool,
    "pace": {"sample_first": bool, "batch": WHOLE_OR_NONE},
    "setup": {"*": str},
    "seam_test": {"middle!": str, "at": str},
    "former_plans": [{"plan!": str, "until!": str}],
}

TAP: Shape = {
    "id!": str,
    **dict.fromkeys(("do", "step", "pile", "cloth", "strip", "text", "what", "at"), str),
    "times": int,
    "block": WHOLE_OR_NONE,
    "blocks": [int],
    "steps": [[str, int]],
    "counts": [[str, int, int]],
    "lost": [[str, int]],
    "strips": [[str, str]],
    "lengths": [str],
    "measured": [[str, [str]]],
}


def fits(value: object, shape: Shape) -> bool:
    """Whether a JSON value has a shape."""
    if isinstance(shape, type):
        return type(value) is shape
    if isinstance(shape, tuple):
        return any(fits(value, each) for each in shape)
    if isinstance(shape, list):
        if not isinstance(value, list):
            return False
        shapes = shape * len(value) if len(shape) == 1 else shape
        return len(shapes) == len(value) and all(map(fits, value, shapes))
    return isinstance(value, dict) and _fits_table(value, shape)


def _fits_table(value: dict[str, Any], shape: dict[str, Shape]) -> bool:
    needed = {key.removesuffix("!") for key in shape if key.endswith("!")}
    named = {key.removesuffix("!"): each for key, each in shape.items()}
    known = {key: each for key, each in value.items() if key in named or "*" in named}
    return needed <= value.keys() and all(fits(each, named.get(key, named.get("*"))) for key, each in known.items())

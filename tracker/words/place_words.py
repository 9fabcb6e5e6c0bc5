"""What is wrong in a drawn plan, said of what stands on the page: nobody who draws sees the keys of the file."""

from __future__ import annotations

from collections.abc import Mapping

from tracker.plan.problems import Problem, worded

Called = Mapping[str, Mapping[str, str]]
"""What cloths and blocks (`fabrics`, `blocks`) are called, by their keys."""

_KEYS = {
    "seam": "the seam allowance",
    "ruler": "the ruler's mark",
    "cell": "the size of a cell",
    "size": "the finished size",
    "columns": "the widths of the columns",
    "rows": "the heights of the rows",
    "cut": "the cut width",
    "finished": "the width",
    "fabric": "the cloth",
    "usable": "the width between selvages",
    "have": "the length in the cupboard",
    "fat_quarters": "the number of fat quarters",
    "beyond": "the overhang",
    "floats": "how far the points float inside the edge",
    "squared": "the size it is squared to",
    "cut_up": "the cutting up",
    "border": "the borders",
    "blocks": "the layout",
    "turns": "the turning of blocks",
    "on_point": "the setting of patches on their points",
    "fabrics": "the list of cloths",
    "across": "the number of blocks across",
    "down": "the number of blocks down",
    "sash": "the sashes",
    "cornerstone": "the cornerstones",
}
_WORDINGS = {
    "missing": "{key} is missing; fill it in",
    "empty text": "{key} is empty; fill it in",
    "turned print": "{key} would turn the print of {read}; {right}, or untick “Every print stands upright”",
    "float": "{key} is {read}, which would not be exact; type {right}",
}
"""Where the table's own words tell how a file is written."""


def drawn_fault(problem: Problem, called: Called) -> str:
    """A fault of a drawn plan in one sentence: the block's or cloth's own name, "Border 1", and no key of the file."""
    said = worded(problem, thing_at(problem.path, called), _WORDINGS.get(problem.kind, ""))
    if problem.row is None:
        return said[:1].upper() + said[1:]
    cell = "cell" if problem.block is not None else "place"
    at = f"row {problem.row}" + (f", {cell} {problem.cell}" if problem.cell is not None else "")
    if problem.block is None:
        return f"Quilt, {at}: {said}"
    return f"{called.get('blocks', {}).get(problem.block, problem.block)}, {at}: {said}"


def thing_at(path: tuple[str | int, ...], called: Called) -> str:
    """What stands at a path of the file, in words: `the cut width of border 1`, `the size of a cell of Beacon`."""
    parts = list(path)
    things: list[str] = []
    if len(parts) > 1 and parts[0] in ("blocks", "fabrics"):
        things.append(called.get(str(parts[0]), {}).get(str(parts[1]), str(parts[1])))
        parts = parts[2:]
    elif parts[:1] in (["quilt"], ["buying"]) and len(parts) > 1:
        parts = parts[1:]
    for number, part in enumerate(parts):
        if isinstance(part, int):
            one = parts[number - 1] if number else "number"
            things[-1:] = [f"{one} {part + 1}" if one in ("border", "frame") else f"number {part + 1} of {things[-1]}"]
        else:
            things.append(_KEYS.get(part, f"the {part.replace('_', ' ')}"))
    return " of ".join(reversed(things))

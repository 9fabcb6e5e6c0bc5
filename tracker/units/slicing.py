"""Parts of a block between straight seams: where they run, and whether they still do when some parts become one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Generic

from tracker.plan.picture import Place, Rectangle
from tracker.units.rounds import Lines, Part, is_within, lines_round, rounds


def parted(parts: Sequence[Part], direction: str) -> list[list[Part]]:
    """Parts grouped by the seams that run straight through all of them, "down" from the top or "across" from the
    left."""
    groups: list[list[Part]] = []
    reach = -1
    for part in sorted(parts, key=lambda each: span_of(each, direction)):
        first, after = span_of(part, direction)
        if not groups or first >= reach:
            groups.append([])
        groups[-1].append(part)
        reach = max(reach, after)
    return groups


def span_of(part: Rectangle, direction: str) -> tuple[int, int]:
    """The lines where a part begins and ends, of the rows ("down") or the columns."""
    if direction == "down":
        return part.row, part.row + part.down
    return part.column, part.column + part.across


@dataclass(frozen=True)
class Sliced(Generic[Part]):
    """Parts that straight seams join: one `part`, or `groups` that lie one after another in a `direction`, or turn
    "round" the first of them. `lines` are those round all of it."""

    part: Part | None
    direction: str
    groups: tuple[Sliced[Part], ...]
    lines: Lines

    def parts(self) -> Iterator[Part]:
        """All of them."""
        if self.part is not None:
            yield self.part
        for group in self.groups:
            yield from group.parts()

    def with_one(self, whole: Part) -> Sliced[Part] | None:
        """The same where all parts within `whole` have become that one; None where straight seams join them no more.

        Whichever seam is sewn last, what lies on either side of it can be joined if all can; so only the groups that
        it touches are looked at anew.
        """
        if self.direction == "round":
            return self._with_one_in_round(whole)
        begins, ends = span_of(whole, self.direction)
        axis = 0 if self.direction == "down" else 1
        touched = [
            at for at, group in enumerate(self.groups) if group.lines[axis] < ends and begins < group.lines[axis + 2]
        ]
        if len(touched) == 1:
            made = self.groups[touched[0]].with_one(whole)
        else:
            groups = [self.groups[at] for at in touched] or [self]
            parts = [part for group in groups for part in group.parts() if not is_within(part, lines_round(whole))]
            made = sliced([*parts, whole])
        if made is None or len(touched) == len(self.groups):
            return made
        after = touched[-1] + 1
        groups = [*self.groups[: touched[0]], made, *self.groups[after:]]
        return replace(self, groups=tuple(groups))

    def _with_one_in_round(self, whole: Part) -> Sliced[Part] | None:
        """The same where parts turn round a middle: one of them alone may hold it."""
        for at, group in enumerate(self.groups):
            if is_within(whole, group.lines):
                made = group.with_one(whole)
                groups = (*self.groups[:at], made, *self.groups[at + 1 :]) if made is not None else ()
                return replace(self, groups=groups) if groups else None
        return None


def sliced(parts: Sequence[Part], turning: bool = False) -> Sliced[Part] | None:
    """Parts by the straight seams between them; None where straight seams alone cannot join them. `turning`: where none
    parts them, four may turn round a middle."""
    return _sliced(parts, set() if turning else None)


def _sliced(parts: Sequence[Part], refused: set[frozenset[Place]] | None) -> Sliced[Part] | None:
    """`refused`: the places of what is known not to be joined; None where nothing may turn."""
    if len(parts) == 1:
        return Sliced(parts[0], "down", (), lines_round(*parts))
    for direction in ("down", "across"):
        groups = parted(parts, direction)
        if len(groups) > 1:
            return _joined(groups, direction, refused)
    places = frozenset((part.row, part.column) for part in parts)
    if refused is not None and places not in refused:
        for each in rounds(parts):
            found = _joined([each.middle, *each.arms], "round", refused)
            if found is not None:
                return found
        refused.add(places)
    return None


def _joined(
    groups: Sequence[Sequence[Part]], direction: str, refused: set[frozenset[Place]] | None
) -> Sliced[Part] | None:
    made = [_sliced(group, refused) for group in groups]
    whole = tuple(each for each in made if each is not None)
    lines = lines_round(*(part for group in groups for part in group))
    return Sliced(None, direction, whole, lines) if len(whole) == len(made) else None

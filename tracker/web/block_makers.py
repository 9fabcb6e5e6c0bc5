"""The makers of a quilt: names she typed, whose each block is, and who holds the device that asks.

Kept among the quilt's facts: "makers", each {"key", "name", "was": [names before]}, and "seam_tests" by key. Blocks
are given by taps, which keep the name as it was then; a name that was changed since is known by what it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from flask import request

from tracker.progress.block_taps import LONGEST_MAKER, maker_of, one_line
from tracker.units.maker import digest
from tracker.web.opened import Opened

MOST_MAKERS = 30
HOLDER = "holder"
"""The cookie in which a device keeps who holds it."""


@dataclass(frozen=True)
class BlockMaker:
    """One who sews on a quilt: a key for addresses, which stays when the name is changed; the name; former names."""

    key: str
    name: str
    was: tuple[str, ...] = ()


def makers_of(opened: Opened) -> list[BlockMaker]:
    """All makers: those typed, then those that only measures or blocks name."""
    listed = [_listed(each) for each in _kept(opened.about)]
    known = {name for each in listed for name in (each.name, *each.was)}
    told = dict.fromkeys(each.maker for each in opened.counts.told.of_all() if each.maker)
    return [*listed, *(BlockMaker(digest(name), name) for name in told if name not in known)]


def _kept(about: Mapping[str, Any]) -> list[dict[str, Any]]:
    return [each for each in about.get("makers", []) if each.get("name")]


def _listed(facts: Mapping[str, Any]) -> BlockMaker:
    return BlockMaker(str(facts.get("key") or digest(facts["name"])), facts["name"], tuple(facts.get("was", ())))


def called(opened: Opened, name: str) -> str:
    """What a maker is called now who had this name once."""
    return next((each["name"] for each in _kept(opened.about) if name in each.get("was", ())), name)


def by_key(opened: Opened, key: str) -> BlockMaker | None:
    """The maker with this key."""
    return next((each for each in makers_of(opened) if each.key == key), None)


def whose(opened: Opened, number: int) -> str:
    """Whose a block is, by the name of now; empty for nobody."""
    return called(opened, maker_of(opened.counts, number))


def blocks_of(opened: Opened, maker: BlockMaker) -> list[int]:
    """The numbers of a maker's blocks."""
    return [number for number in opened.counts.block_keys if whose(opened, number) == maker.name]


def holder() -> str:
    """Who holds the device that asks, as it said once; empty where it did not."""
    return one_line(request.cookies.get(HOLDER, ""))


def with_name(about: Mapping[str, Any], typed: str, before: BlockMaker | None = None) -> list[dict[str, Any]]:
    """The list of makers with one more, or with the name of one changed. ValueError with a sentence for a person."""
    name, kept = one_line(typed), _kept(about)
    if not name or not name.isprintable():
        raise ValueError(f"A maker's name is from 1 to {LONGEST_MAKER} characters; type one.")
    others = [_listed(each) for each in kept if before is None or _listed(each).key != before.key]
    for other in others:
        if name.casefold() in (each.casefold() for each in (other.name, *other.was)):
            before_that = "" if name.casefold() == other.name.casefold() else f", as {other.name}"
            raise ValueError(f"{name} is on the list already{before_that}; type another name, or a letter behind it.")
    if before is None:
        if len(kept) >= MOST_MAKERS:
            raise ValueError(f"{MOST_MAKERS} makers are on the list, which is all that it holds.")
        return [*kept, {"key": digest(name), "name": name, "was": []}]
    was = [each for each in dict.fromkeys((*before.was, before.name)) if each != name]
    changed = {"key": before.key, "name": name, "was": was}
    if before.key not in (_listed(each).key for each in kept):
        return [*kept, changed]
    return [changed if _listed(each).key == before.key else each for each in kept]


def without(about: Mapping[str, Any], maker: BlockMaker) -> list[dict[str, Any]]:
    """The list without one of them."""
    return [each for each in _kept(about) if _listed(each).key != maker.key]

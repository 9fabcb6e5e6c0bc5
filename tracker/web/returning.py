"""Coming back after a break: where she stopped, what lies where, what to set up, what she noted."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.web.clock import here, when
from tracker.web.latest import said
from tracker.web.mends import asked_of
from tracker.web.opened import Opened
from tracker.web.views import batch_words, seam_untested

SETTINGS = {
    "foot": "Foot",
    "needle": "Needle",
    "stitch": "Stitch length",
    "guide": "Seam guide",
    "iron": "Iron",
    "ruler": "Ruler",
}
"""What is set up for a quilt, in her own words."""

LONGEST_SETTING = 80


@dataclass(frozen=True)
class Lying:
    """Pieces of one pile that lie there; `spare`: how many of them nothing will ask for."""

    words: str
    spare: int


@dataclass(frozen=True)
class UnderWay:
    """A block begun and not finished."""

    number: int
    name: str
    words: str


@dataclass(frozen=True)
class ComingBack:
    """What she finds when she comes back."""

    stopped_at: str
    stopped_when: str
    lying: tuple[Lying, ...]
    blocks: tuple[UnderWay, ...]
    settings: tuple[tuple[str, str, str], ...]
    note: str
    note_block: int | None
    batch: str
    seam_untested: bool

    @property
    def is_set_up(self) -> bool:
        return any(value for _, _, value in self.settings)


def coming_back(opened: Opened) -> ComingBack:
    """Everything about where a quilt stands."""
    progress = opened.progress
    about = opened.about
    last = progress.latest(1)
    block, note = progress.notes[-1] if progress.notes else (None, "")
    setup = about.get("setup", {})
    return ComingBack(
        stopped_at=_stopped(opened) if last else "",
        stopped_when=when(last[0].tap.get("at", ""), here()) if last else "",
        lying=tuple(_lying(opened)),
        blocks=tuple(_under_way(opened)),
        settings=tuple((key, words, str(setup.get(key, ""))) for key, words in SETTINGS.items()),
        note=note,
        note_block=block,
        batch=batch_words(opened),
        seam_untested=seam_untested(opened),
    )


def _stopped(opened: Opened) -> str:
    kept = opened.progress.latest(1)[0]
    title = opened.compiled.titles.get(str(kept.tap.get("step", "")), "")
    words = said(opened, kept)
    return f"{title}: {words}" if title else words


def _lying(opened: Opened) -> list[Lying]:
    progress, found = opened.progress, []
    wanted = progress.wanted_at_the_end()
    for pile in progress.checklist.piles.values():
        count = progress.on_pile(pile.id) if pile.block is None else 0
        if count > 0:
            spare = max(count - asked_of(opened, pile.id) - wanted.get(pile.id, 0), 0)
            found.append(Lying(opened.words.pile(pile.id, count), spare))
    return found


def _under_way(opened: Opened) -> list[UnderWay]:
    progress, found = opened.progress, []
    for number in progress.block_keys:
        stage = progress.stage(number)
        if 0 < stage.done < stage.steps and not progress.is_finished(number):
            found.append(UnderWay(number, progress.names.get(number, ""), opened.words.stage(stage)))
    return found

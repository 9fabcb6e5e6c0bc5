"""One kind of block whole: every pass of it on one screen, counted in place, from the same cards as its sheet."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Response, request

from tracker.pattern.block_sheet import PassCard, cards_of, cut_cards_of
from tracker.pattern.some_blocks import sewn_kinds, some_blocks_of
from tracker.progress.batches import in_work, passes_of
from tracker.web import drawings
from tracker.web.asked import step_named
from tracker.web.facts import TakeBack, batch_words, said
from tracker.web.faults import PageFault
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import Link, parts, picture_file, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.web.screens.sheets import sewn_of
from tracker.web.screens.step import OneTap, together_of
from tracker.work.steps import PressSeams, Step

screen = Screen("pattern", "/quilts/<quilt_id>/pattern")


@dataclass(frozen=True)
class PassCell:
    """A pass on the screen: its card and `label` (a number; of cutting the cloth's key), the short names of its step
    that is drawn and of that to count next, how far it has come in the quilt, what the batch needs of it now; those of
    its steps, and of those that say how far it has come, so that the page can count on while the computer is away."""

    card: PassCard
    label: str
    drawn: str
    short: str
    done: int
    count: int
    together: OneTap
    steps: tuple[str, ...]
    counted: tuple[str, ...]

    @property
    def left(self) -> bool:
        """Whether any of it is still to be done."""
        return self.done < self.count

    @property
    def state(self) -> str:
        """done, ready or waits."""
        return "done" if not self.left else "ready" if self.together.words else "waits"


@screen.get("")
def pattern(quilt_id: str) -> Response:
    """One kind of block whole; `block` is its key, `pass` the short name of a step of the pass that is chosen."""
    with parts().desk.quilt(quilt_id) as opened:
        view = f"pattern:{request.args.get('pass', '')[:40]}:{request.args.get('block', '')[:200]}"
        return quilt_page("pattern", "", opened, "parts/pattern_screen.html", **facts_of(opened, view))


@screen.get("/<short>.svg")
def pass_picture(quilt_id: str, short: str) -> Response:
    """A step as it lies on the table, as an SVG file."""
    with parts().desk.quilt(quilt_id) as opened:
        return picture_file(drawings.of_step(opened, step_named(opened, short)), opened.compiled.mark)


@screen.live
def _pattern(opened: Opened, rest: str) -> Facts:
    short, _, key = rest.partition(":")
    kinds = sewn_kinds(opened.compiled.checklist)
    if not kinds or (key and key not in kinds):
        raise PageFault(
            404, "There is no such block to sew; choose another.", Link(f"/quilts/{opened.id}", "To the quilt")
        )
    return {"whole": block_whole(opened, key or _in_work(opened, kinds), short, kinds)}


def _in_work(opened: Opened, kinds: list[str]) -> str:
    """The kind of block that is in work now, else the first."""
    keys = (opened.counts.block_keys[number] for number in in_work(opened.counts, opened.pace))
    return next((key for key in keys if key in kinds), kinds[0])


def block_whole(opened: Opened, key: str, short: str, kinds: list[str]) -> Facts:
    """Everything about one kind of block. `short` names a step of the pass that is chosen; without it, it is the first
    that the blocks in work need now."""
    blocks, cells = opened.compiled.plan.blocks, tuple(_cell(opened, card) for card in _cards(opened, key))
    ready = [cell for cell in cells if cell.together.words]
    named = (cell for cell in cells if short in (cell.drawn, cell.short))
    chosen = next(named, ready[0] if ready else next((cell for cell in cells if cell.left), cells[-1]))
    return {
        "key": key,
        "name": blocks[key].name,
        "cells": cells,
        "chosen": chosen,
        "following": next((cell for cell in ready if cell != chosen), None),
        "take_back": _take_back(opened, chosen.card),
        "kinds": tuple({"key": each, "name": blocks[each].name, "shown": each == key} for each in kinds),
        "batch": batch_words(opened),
        # Passes beside each other on a phone, so that all of them are in sight.
        "columns": next((columns for columns, most in ((3, 9), (4, 16), (5, 25)) if len(cells) <= most), 6),
    }


def _take_back(opened: Opened, card: PassCard) -> TakeBack | None:
    """The last tap that counted anything of a pass: what is taken back is what is looked at."""
    newest = opened.last_tap({*card.steps, *_counted(opened, card)})
    return None if newest is None else TakeBack(newest.tap.id, 0, said(opened, newest))


def _cards(opened: Opened, key: str) -> list[PassCard]:
    """The cards of a kind of block, made once for a plan."""
    compiled = opened.compiled
    if key not in compiled.cards:
        sewn, one = sewn_of(compiled), some_blocks_of(compiled.checklist, key, 1)
        compiled.cards[key] = [*cut_cards_of(sewn, one), *cards_of(sewn, one)]
    return compiled.cards[key]


def _cell(opened: Opened, card: PassCard) -> PassCell:
    counts, compiled = opened.counts, opened.compiled
    doing = [step for step in card.steps if counts.left(step)]
    step = doing[0] if doing else card.steps[-1]
    counted = _counted(opened, card)
    return PassCell(
        card,
        str(card.number) if card.number else compiled.checklist.made(step).fabrics[0],
        compiled.short[card.drawn],
        compiled.short[step.id],
        sum(min(counts.times_done(each), counts.count(each)) for each in counted),
        sum(counts.count(each) for each in counted),
        together_of(opened, step),
        tuple(compiled.short[each.id] for each in card.steps),
        tuple(compiled.short[each.id] for each in counted),
    )


def _counted(opened: Opened, card: PassCard) -> list[Step]:
    """The steps by which it is told how far a pass has come: those of its last operation, in all versions of a block
    where they share a card."""
    last = card.steps[-1]
    shared = last.per != "quilt" and not isinstance(last.action, PressSeams)
    mine = passes_of(opened.counts)[last.id].steps if shared else card.steps
    return [step for step in mine if step.operation == last.operation]

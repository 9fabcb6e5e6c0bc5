"""A plan text looked at while it is typed: its picture, sizes and pieces, or every fault beside its line; then proved.

What is seen is plain data, so that another process can do it: see COMMAND.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import asdict, replace

from tracker.drawing import quilt_drawing
from tracker.looks.figures import PlaceFault, called_in, figures, placed, placed_in_block, sizes
from tracker.looks.looker import Frame, Work, look_for_others
from tracker.looks.looking import UNDER_WAY
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.plan.problems import Problem, quoted, sentence
from tracker.proof.proof import prove
from tracker.quilt.borders import CannotCut
from tracker.route.compiler import CannotSew, compile_plan
from tracker.route.narrow_cloth import cloth_problems, larger_than_cloth
from tracker.route.usable_plan import usability_problems
from tracker.words.names import Names
from tracker.words.plan_notices import as_drawn
from tracker.words.quilt_summary import cannot_make
from tracker.words.step_words import Words
from tracker.work.steps import Checklist

COMMAND = (sys.executable, "-c", "from tracker.looks.preview import main; main()")
"""Starts a process that looks and proves for others."""

LOOK, PROOF, DRAWN = "look", "proof", "drawn"

PLANS_KEPT = 2
"""How many compiled plans such a process keeps: that which was looked at last is proved next."""


class PlanFault(Exception):
    """A plan text that cannot be used. `problems` are its faults with their places in the text; `sentences` say them
    all. `places` are those that have a place in the drawing without one in the text."""

    def __init__(
        self, problems: tuple[Problem, ...], sentences: tuple[str, ...], places: tuple[PlaceFault, ...] = ()
    ) -> None:
        super().__init__("\n".join(sentences))
        self.problems = problems
        self.sentences = sentences
        self._places = places

    def places(self, text: str) -> tuple[PlaceFault, ...]:
        """All of them at their places in the drawing of that text, in its words."""
        called = called_in(text)
        found = self._places or tuple(placed(problem, called) for problem in self.problems)
        return found or tuple(map(PlaceFault, self.sentences))


MADE, FAULTY = "made", "faulty"

SEEN: Frame = {"state": UNDER_WAY, "sizes": "", "work": "", "notices": (), "drawing": "", "faults": ()}
"""A plan text looked at. `state` is MADE (with what it makes, in words and drawn), FAULTY (with all its faults), or
that of a look that has not come to an end (see looking), with what is known by then: sizes and drawing first. A fault
has the line's `number` (None: the whole text), the `line` itself, its middle left out where it is long, and
`sentences`."""

DRAWN_SEEN: Frame = {"state": UNDER_WAY, "drawing": "", "sizes": {}, "faults": (), "notices": (), "figures": {}}
"""A drawn plan looked at: its `state` as above, the quilt's picture, what each size comes to, its faults at their
places (see figures.PlaceFault), and, when it is worked out, what it comes to (see figures)."""

UNPROVED: Frame = {"fault": "", "steps": 0}
"""How a proof has ended: what it found wrong, in one sentence (empty: nothing), and how many steps it sewed."""


def read_whole(text: str | bytes, file: str = "plan") -> Plan:
    """The plan in a text. Raises PlanFault with everything that is wrong with it."""
    reading = read_plan(text, file)
    if reading.plan is None:
        raise PlanFault(reading.problems, tuple(sentence(problem) for problem in reading.problems))
    return reading.plan


def compile_whole(plan: Plan, where: str = "") -> Checklist:
    """A plan's checklist. Raises PlanFault where there is none; its sentence begins with `where`."""
    try:
        return compile_plan(plan)
    except (CannotSew, CannotCut) as fault:
        place = (placed_in_block(fault, plan),) if isinstance(fault, CannotSew) else ()
        raise PlanFault((), (where + cannot_make(fault, plan),), place) from fault


def hold_to_use(text: str | bytes, plan: Plan, checklist: Checklist, file: str = "plan") -> None:
    """Raises PlanFault where pieces of blocks are larger than their cloth, the seam is too small, or blocks are squared
    too deep. For texts that are to be used; a quilt that is sewn already opens all the same."""
    problems = usability_problems(plan, text, file)
    larger = larger_than_cloth(plan, checklist)
    if larger:
        problems += cloth_problems(plan, larger, text, file)
    if problems:
        raise PlanFault(problems, tuple(sentence(problem) for problem in problems))


def drawn(plan: Plan, drawing: str) -> Frame:
    """What is known of a plan before its steps are: its blocks, their sizes and its picture."""
    names = Names(plan, Checklist({}, (), (), (), (), (), {}))
    counts = Counter(plan.quilt.blocks_in_order())
    blocks = ", ".join(
        f"{counts[block.key]} × {block.name}, {names.size(block.finished(plan.seam))}"
        for block in plan.blocks.values()
        if counts[block.key]
    )
    return {**SEEN, "sizes": f"{blocks} finished", "drawing": drawing}


def worked_out(picture: Frame, checklist: Checklist, words: Words) -> Frame:
    """What is known with its steps."""
    pieces = sum(piece.count for piece in checklist.pieces)
    work = f"{steps_of(checklist)} steps. {pieces} pieces to cut."
    return {**picture, "state": MADE, "work": work, "notices": [words.notice(each) for each in checklist.notices]}


def steps_of(checklist: Checklist) -> int:
    """How many steps there are to do."""
    return sum(step.count > 0 for step in checklist.steps)


def faults_seen(text: str, fault: PlanFault) -> Frame:
    """Every fault of a text beside its line."""
    return {**SEEN, "state": FAULTY, "faults": _by_line(text, fault)}


def unproved(plan: Plan, checklist: Checklist) -> str:
    """What the proof finds wrong with the checklist, in one sentence; empty where it holds."""
    first = prove(plan, checklist).first
    if first is None:
        return ""
    return f"The proof found a fault in the steps of this plan, so it cannot be used: {first.sentence(plan.unit)}"


def _by_line(text: str, fault: PlanFault) -> list[Frame]:
    if not fault.problems:
        return [{"number": None, "line": "", "sentences": fault.sentences}]
    lines = text.split("\n")
    grouped: dict[int | None, list[Problem]] = {}
    for problem in fault.problems:
        grouped.setdefault(problem.line, []).append(problem)
    ordered = sorted(grouped.items(), key=lambda entry: entry[0] or 0)
    return [
        {
            "number": number,
            "line": quoted(lines[number - 1]) if number and number <= len(lines) else "",
            "sentences": _sentences(problems),
        }
        for number, problems in ordered
    ]


def _sentences(problems: list[Problem]) -> list[str]:
    """The sentences without file and line, which stand beside them already."""
    said = [sentence(replace(problem, line=None)).removeprefix(problem.file).lstrip(",: ") for problem in problems]
    return [text[:1].upper() + text[1:] for text in said]


class _Looks:
    """What a process of its own does with plan texts."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[Plan, Checklist | None]] = {}

    def look(self, text: str) -> Iterator[Frame]:
        try:
            plan = self._plan(text)
            picture = drawn(plan, quilt_drawing(plan))
            yield picture
            checklist = self._checklist(text)
            hold_to_use(text, plan, checklist)
        except PlanFault as fault:
            yield faults_seen(text, fault)
            return
        yield worked_out(picture, checklist, Words(plan, checklist))

    def drawn(self, text: str) -> Iterator[Frame]:
        seen = DRAWN_SEEN
        try:
            plan = self._plan(text)
            seen = {**seen, "drawing": quilt_drawing(plan), "sizes": sizes(plan)}
            yield seen
            checklist = self._checklist(text)
            hold_to_use(text, plan, checklist)
        except PlanFault as fault:
            yield {**seen, "state": FAULTY, "faults": [asdict(each) for each in fault.places(text)]}
            return
        words = Words(plan, checklist)
        notices = [words.notice(as_drawn(each)) for each in checklist.notices]
        yield {**seen, "state": MADE, "notices": notices, "figures": figures(plan, checklist)}

    def prove(self, text: str) -> Iterator[Frame]:
        try:
            plan, checklist = self._plan(text), self._checklist(text)
        except PlanFault as fault:
            yield {**UNPROVED, "fault": fault.sentences[0]}
            return
        yield {"fault": unproved(plan, checklist), "steps": steps_of(checklist)}

    def _plan(self, text: str) -> Plan:
        kept = self._kept.pop(text) if text in self._kept else (read_whole(text), None)
        self._kept[text] = kept
        while len(self._kept) > PLANS_KEPT:
            del self._kept[next(iter(self._kept))]
        return kept[0]

    def _checklist(self, text: str) -> Checklist:
        plan, checklist = self._kept[text]
        if checklist is None:
            checklist = compile_whole(plan)
            self._kept[text] = plan, checklist
        return checklist


def plan_work() -> dict[str, Work]:
    """What can be done with a plan text: see SEEN, UNPROVED and DRAWN_SEEN."""
    looks = _Looks()
    return {LOOK: looks.look, PROOF: looks.prove, DRAWN: looks.drawn}


def main() -> None:
    """Look and prove for others, until there is nothing more to do."""
    look_for_others(plan_work())

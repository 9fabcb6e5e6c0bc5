"""The command that hands out a plan: `sewing-room handout PLAN FILE` writes its pattern sheets as one HTML file."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from tracker.cloth.sewing import sew
from tracker.drawing.tile_layout import Layout
from tracker.pattern.block_sheet import SewnPlan
from tracker.pattern.handout import NOT_PROVED, PROVED, Heading, handout, one_file
from tracker.plan.model import Plan
from tracker.plan.problems import shown
from tracker.proof.proof import prove
from tracker.words.step_words import Words
from tracker.work.steps import Checklist

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[argparse.ArgumentParser]

MOST_BLOCKS = 10_000
"""So many blocks a quilt may have."""


def add_handout(commands: Commands) -> argparse.ArgumentParser:
    """Add the command to a parser's, without its `run`."""
    command = commands.add_parser("handout", help="write the pattern sheets of a plan as one HTML file, to hand out")
    command.add_argument("plan", type=Path, metavar="PLAN", help="plan file (TOML)")
    command.add_argument("file", type=Path, metavar="FILE", help="the file to write, such as sheets.html")
    command.add_argument("--title", default="", help="what stands over the sheets, instead of the plan's title")
    command.add_argument("--date", default="", help="a date, as it is to be read")
    command.add_argument("--name", default="", help="whose sheets they are, or who made them")
    command.add_argument("--blocks", type=_blocks, default=0, metavar="N", help="for so many blocks, without the quilt")
    return command


def _blocks(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 5 and 1 <= int(text) <= MOST_BLOCKS):
        raise argparse.ArgumentTypeError(
            f"{shown(text)!r} is no number of blocks: give a whole number from 1 to {MOST_BLOCKS:,}"
        )
    return int(text)


def write_handout(plan: Plan, checklist: Checklist, options: argparse.Namespace) -> int:
    """Prove a plan and write its sheets. Out: 0; 1 where the proof failed, which the sheets then say, or where the file
    could not be written, which is said."""
    proved = prove(plan, checklist).first is None
    heading = Heading(options.title, options.date, options.name)
    page = one_file(handout(sewn_plan(plan, checklist), heading, proved, options.blocks))
    try:
        with options.file.open("x", encoding="utf-8") as file:
            file.write(page)
    except FileExistsError:
        print(f"{options.file} is there already, and was left as it is; name another file.", file=sys.stderr)
        return 1
    except OSError as fault:
        print(f"{options.file}: {fault.strerror or fault}; name a file that can be written.", file=sys.stderr)
        return 1
    print(f"Written to {options.file}: it opens in any browser, and prints from there.")
    print(PROVED if proved else NOT_PROVED)
    return 0 if proved else 1


def sewn_plan(plan: Plan, checklist: Checklist) -> SewnPlan:
    """A plan whose blocks are sewn, so that their sheets can be drawn: no sheet draws what is done with the quilt."""
    with_blocks = checklist.with_blocks()
    steps = [step for step in checklist.steps if not any(flow.pile in with_blocks for flow in step.gives)]
    trace = sew(checklist.piles, steps, plan.seam)
    return SewnPlan(plan, checklist, Words(plan, checklist), trace, Layout(plan, checklist))

"""A quilt whose top is measured before its borders, for tests of that."""

from __future__ import annotations

from visitors import Quilt

from tracker.progress.measured_top import is_measured

FERRY_PLAN = """\
title = "Ferry lane throw"

[fabrics.S]
name = "pale sand"
tone = 2

[fabrics.R]
name = "lamp red"
tone = 7

[fabrics.K]
name = "slate"
tone = 8

[blocks.lane]
name = "Ferry lane"
cell = "3"
picture = '''
R\\S  R    R    S/R
R    S\\R  R/S  R
R    S/R  R\\S  R
R/S  R    R    S\\R
'''

[quilt]
block = "lane"
across = 4
down = 4

[[quilt.border]]
fabric = "S"
cut = "2 1/2"

[[quilt.border]]
fabric = "K"
cut = "4"
corners = "R"

[quilt.binding]
fabric = "K"
cut = "2 1/2"

[quilt.backing]
fabric = "S"
beyond = "4"

[quilt.batting]
beyond = "4"
"""
"""48 in of blocks each way, then borders of 2 in, and of 3½ in with cornerstones. Sides and ends, unfinished: 48½ and
52½ in, then 52½ and 52½ in; all of it 59½ in square."""


def measured_steps(quilt: Quilt) -> list[str]:
    """Short names of the steps that the top is measured for, in order."""
    return [quilt.compiled.short[step.id] for step in quilt.compiled.checklist.steps if is_measured(step)]

"""A small plan for each way of making each unit, for tests that look at all of them."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan

TEXT = """
title = "{name}"
trimming = "{trimming}"
half_square = "{half_square}"
quarter_square = "{quarter_square}"
geese = "{geese}"
fabrics.S = {{ name = "sand", tone = 2 }}
fabrics.R = {{ name = "brick", tone = 7 }}
fabrics.G = {{ name = "moss", tone = 5 }}
fabrics.K = {{ name = "ink", tone = 9 }}
[blocks.b]
name = "block"
cell = "2"
combine = {combine}
strips = {strips}
diagonal = {diagonal}
on_point = {on_point}
picture = '''
{picture}
'''
frame = [{frame}]
{squared}
[quilt]
block = "b"
across = 2
down = 1
"""


@dataclass(frozen=True)
class Drawn:
    """A picture, and the settings that choose how it is made."""

    picture: str
    half_square: str = "two"
    geese: str = "flip"
    combine: bool = False
    strips: bool = False
    frame: str = ""
    squared: str = ""
    quarter_square: str = "two"
    diagonal: bool = False
    on_point: bool = False


RECIPE_PLANS = {
    "plain patches": Drawn("S R"),
    "rows": Drawn("S R\nR S"),
    "seam begun": Drawn("S < R G K\nR G K S ^\n^ K S < ^\n^ S < < <"),
    "seam begun, the other way": Drawn("S R <\n^ G S\nK < ^"),
    "cut up": Drawn("S R S\nR G R\nS R S", squared='cut_up = [["0", "180"], ["180", "0"]]'),
    "two versions": Drawn("S R\nG K"),
    "frame": Drawn("R", frame='{ fabric = "S", cut = "1 1/2" }'),
    "squared down": Drawn(r"S R\S", squared='squared = "4 1/4"'),
    "squared down, framed": Drawn(
        "S/R",
        frame='{ fabric = "G", cut = "1 1/2" }',
        squared='squared = "2 3/8"\nsquared_framed = "4 1/4"',
    ),
    "half-square two": Drawn(r"S R\S"),
    "half-square four": Drawn(r"S R\S", half_square="four"),
    "half-square eight": Drawn(r"S R\S", half_square="eight"),
    "half-rectangle, both hands": Drawn("S/R < S\\R <"),
    "half-rectangle, upright": Drawn("S\\R\n^\n^"),
    "triangle in a square": Drawn("S/R R\\S\n^ ^", combine=True),
    "triangle in a rectangle, dark sides": Drawn("K\\G < <\nS/K < <", combine=True),
    "quarter-square": Drawn("S:R:G:K S"),
    "quarter-square, two cloths": Drawn("S:R:S:R G"),
    "split": Drawn("S:R:G:S K"),
    "split, the quarter like the half": Drawn("S:S:G:S K"),
    "quarter-square of triangles": Drawn("S:R:G:K S", quarter_square="triangles"),
    "quarter-square of triangles, two cloths": Drawn("S:R:S:R G", quarter_square="triangles"),
    "split of triangles": Drawn("S:R:G:S K", quarter_square="triangles"),
    "split of triangles, the other hand too": Drawn("S:R:G:S S:G:R:S", quarter_square="triangles"),
    "goose flip": Drawn(r"S/R R\S", combine=True),
    "geese four": Drawn(r"R\S S/R", geese="four", combine=True),
    "square in a square": Drawn("S/R R\\S\nS\\R R/S", combine=True),
    "snowball": Drawn("S/R R R\\S\nR R R\nS\\R R R/S", combine=True),
    "strip set": Drawn("S R G", strips=True),
    "pieced half, in rows": Drawn("S R/S R/G\nR/S R/G G\nR/G G G", diagonal=True),
    "pieced half, in columns": Drawn("S K\\S R/G\nS K/G G\nR/G G G", diagonal=True),
    "pieced half, strips of triangles": Drawn("S S/R S/K\nS/R S/K K\nS/K K K", diagonal=True),
    "pieced half, plain strips": Drawn("S/R R/G G/K\nR/G G/K K\nG/K K K", diagonal=True),
    "nested square": Drawn("S S/R R\\S S\nS/R K G R\\S\nS\\R G K R/S\nS S\\R R/S S", diagonal=True),
    "four-patch on point": Drawn("K K/R R\\G G\nK/S S\\R R/S S\\G\nG\\S S/R R\\S S/K\nG G\\R R/K K", diagonal=True),
    "diagonal band": Drawn("S S S/R R\nS S/R R R/G\nS/R R R/G G\nR R/G G G", diagonal=True),
    "diagonal band, one end covered": Drawn("K K K/S S\nK K/R R\\S S\nK/G G\\R R R\\S\nG G G\\R R", diagonal=True),
    "star of diamonds": Drawn(
        "S R\\S S/G S\nS\\G G\\R G/R R/S\nS/R R/G R\\G G\\S\nS G/S S\\R S", squared="diamonds = true"
    ),
    "on point": Drawn("S S/K K\\S S\nS/K K K/R G\\S\nR\\K K/R R G/S\nR/S S\\G G/S S", on_point=True),
}


def recipe_plan(name: str, trimming: str = "roomy") -> Plan:
    """The plan of one of RECIPE_PLANS."""
    return drawn_plan(name, RECIPE_PLANS[name], trimming)


def drawn_plan(name: str, drawn: Drawn, trimming: str = "roomy") -> Plan:
    """The plan of a picture, two blocks of it."""
    reading = read_plan(drawn_text(name, drawn, trimming))
    assert reading.plan is not None, reading.problems
    return reading.plan


def drawn_text(name: str, drawn: Drawn, trimming: str = "roomy") -> str:
    """That plan as text."""
    return TEXT.format(
        name=name,
        trimming=trimming,
        half_square=drawn.half_square,
        quarter_square=drawn.quarter_square,
        geese=drawn.geese,
        combine=str(drawn.combine).lower(),
        strips=str(drawn.strips).lower(),
        diagonal=str(drawn.diagonal).lower(),
        on_point=str(drawn.on_point).lower(),
        picture=drawn.picture,
        frame=drawn.frame,
        squared=drawn.squared,
    )

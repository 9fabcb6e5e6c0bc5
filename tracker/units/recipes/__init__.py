"""How each unit is made: one entry a way of making, and everything else follows from it.

A recipe says which region of a picture it makes (in one orientation; the compiler tries all four), and writes the
steps on a `Maker`. Cut sizes, step sizes, drawings, handedness, yield and proof all come from those steps. To add a
unit, write a file with its `RECIPES` and name it here.
"""

from __future__ import annotations

from tracker.units.recipes import (
    bands,
    corners,
    cut_up,
    geese,
    half_rectangle,
    half_square,
    halves,
    loose_triangles,
    nested,
    on_point,
    plain,
    pointed,
    quarter_square,
    square_in_square,
    star_of_diamonds,
    strip_set,
)
from tracker.units.recipes.recipe import Recipe

__all__ = ["RECIPES", "Recipe"]

RECIPES: tuple[Recipe, ...] = (
    *plain.RECIPES, *half_square.RECIPES, *half_rectangle.RECIPES, *quarter_square.RECIPES, *loose_triangles.RECIPES,
    *corners.RECIPES, *geese.RECIPES, *pointed.RECIPES, *square_in_square.RECIPES, *halves.RECIPES, *bands.RECIPES,
    *nested.RECIPES, *on_point.RECIPES, *star_of_diamonds.RECIPES, *cut_up.RECIPES, *strip_set.RECIPES,
)  # fmt: skip
"""Every way to make every unit. Where several fit one region, the plan's setting chooses among them."""

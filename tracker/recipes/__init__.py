"""How each unit is made: one entry a way of making, and everything else follows from it.

A recipe says which region of a picture it makes (in one orientation; the compiler tries all four), and writes the
steps on a `Maker`. Cut sizes, step sizes, drawings, handedness, yield and proof all come from those steps. To add a
unit, write one `make` function and one entry in `RECIPES`.
"""

from __future__ import annotations

from tracker.recipes.corners import fits_flipped_goose, fits_snowball, make_flipped_goose, make_snowball
from tracker.recipes.geese import fits_goose_down, make_geese_four
from tracker.recipes.half_square import (
    fits_half_square,
    make_half_square_eight,
    make_half_square_four,
    make_half_square_two,
)
from tracker.recipes.plain import fits_plain, make_plain
from tracker.recipes.quarter_square import (
    fits_quarter_square,
    fits_split,
    make_quarter_square,
    make_split,
    mirror_quarter_square,
    mirror_split,
)
from tracker.recipes.recipe import Recipe
from tracker.recipes.square_in_square import fits_square_in_square, make_square_in_square

__all__ = ["RECIPES", "Recipe"]

RECIPES: tuple[Recipe, ...] = (
    Recipe("plain", None, fits_plain, make_plain),
    Recipe("half-square triangle", "two", fits_half_square, make_half_square_two, way_of="half_square"),
    Recipe("half-square triangle", "four", fits_half_square, make_half_square_four, way_of="half_square"),
    Recipe("half-square triangle", "eight", fits_half_square, make_half_square_eight, way_of="half_square"),
    Recipe("quarter-square triangle", "two", fits_quarter_square, make_quarter_square, mirror_quarter_square),
    Recipe("split quarter-square triangle", "two", fits_split, make_split, mirror_split),
    Recipe("flying goose", "flip", fits_flipped_goose, make_flipped_goose, way_of="geese"),
    Recipe("flying goose", "four", fits_goose_down, make_geese_four, way_of="geese"),
    Recipe("square in a square", None, fits_square_in_square, make_square_in_square),
    Recipe("snowball", "flip", fits_snowball, make_snowball),
)
"""Every way to make every unit. Where several fit one region, the plan's setting chooses among them."""

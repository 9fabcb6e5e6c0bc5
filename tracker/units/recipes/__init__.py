"""How each unit is made: one entry a way of making, and everything else follows from it.

A recipe says which region of a picture it makes (in one orientation; the compiler tries all four), and writes the
steps on a `Maker`. Cut sizes, step sizes, drawings, handedness, yield and proof all come from those steps. To add a
unit, write one `make` function and one entry in `RECIPES`.
"""

from __future__ import annotations

from tracker.units.recipes.bands import fits_band, fits_trunk, make_band, make_trunk, patches_of_band
from tracker.units.recipes.corners import (
    fits_flipped_goose,
    fits_snowball,
    found_corners,
    make_flipped_goose,
    make_snowball,
)
from tracker.units.recipes.cut_up import (
    LEVEL,
    UPRIGHT,
    ends_of_level,
    ends_of_upright,
    fits_quarter,
    make_level_quarters,
    make_upright_quarters,
)
from tracker.units.recipes.geese import fits_goose_down, make_geese_four
from tracker.units.recipes.half_pictures import fits_halves, inner_of_halves, patches_of_halves
from tracker.units.recipes.half_rectangle import fits_half_rectangle, make_half_rectangle
from tracker.units.recipes.half_square import (
    fits_half_square,
    make_half_square_eight,
    make_half_square_four,
    make_half_square_one,
    make_half_square_two,
)
from tracker.units.recipes.halves import ends_of_halves, make_halves
from tracker.units.recipes.loose_triangles import make_of_four_triangles, make_of_three_triangles
from tracker.units.recipes.nested import fits_nested, fits_stood, make_nested, make_stood
from tracker.units.recipes.nested_pictures import inner_of_nested, patches_of_nested
from tracker.units.recipes.on_point import fits_on_point, inner_on_point, make_on_point, patches_on_point
from tracker.units.recipes.plain import fits_plain, make_plain
from tracker.units.recipes.pointed import fits_pointed_oblong, fits_pointed_square, make_pointed
from tracker.units.recipes.quarter_square import (
    fits_quarter_square,
    fits_split,
    make_quarter_square,
    make_split,
    mirror_quarter_square,
    mirror_split,
)
from tracker.units.recipes.recipe import Recipe, always
from tracker.units.recipes.square_in_square import fits_square_in_square, make_square_in_square
from tracker.units.recipes.star_of_diamonds import ends_of_star, fits_star, make_star, parts_of_star
from tracker.units.recipes.strip_set import fits_strip_set, make_strip_set, strips_pressed_down
from tracker.work.things import (
    BAND,
    GOOSE,
    HALF_RECTANGLE,
    HALF_SQUARE,
    HALVES,
    IN_SQUARE,
    NESTED,
    ON_POINT,
    POINTED_OBLONG,
    POINTED_SQUARE,
    QUARTER,
    QUARTER_SQUARE,
    SNOWBALL,
    SPLIT,
    STAR,
    STOOD,
    STRIP_SET,
)

__all__ = ["RECIPES", "Recipe"]

HALF, QUARTERS, GEESE = "half_square", "quarter_square", "geese"
"""The plan's settings that choose among ways."""

RECIPES: tuple[Recipe, ...] = (
    Recipe("plain", None, fits_plain, make_plain, always(1)),
    Recipe(HALF_SQUARE, "two", fits_half_square, make_half_square_two, always(2), way_of=HALF),
    Recipe(HALF_SQUARE, "four", fits_half_square, make_half_square_four, always(2), way_of=HALF, bias=True),
    Recipe(HALF_SQUARE, "eight", fits_half_square, make_half_square_eight, always(2), way_of=HALF),
    Recipe(HALF_SQUARE, "one", fits_half_square, make_half_square_one, always(2), way_of=HALF, alone=True),
    Recipe(HALF_RECTANGLE, None, fits_half_rectangle, make_half_rectangle, always(2)),
    Recipe(QUARTER_SQUARE, "two", fits_quarter_square, make_quarter_square, always(4), mirror_quarter_square, QUARTERS),
    Recipe(SPLIT, "two", fits_split, make_split, always(3), mirror_split, QUARTERS),
    Recipe(QUARTER_SQUARE, "triangles", fits_quarter_square, make_of_four_triangles, always(4), way_of=QUARTERS),
    Recipe(SPLIT, "triangles", fits_split, make_of_three_triangles, always(3), way_of=QUARTERS),
    Recipe(GOOSE, "flip", fits_flipped_goose, make_flipped_goose, always(3), way_of=GEESE, figure=True),
    Recipe(GOOSE, "four", fits_goose_down, make_geese_four, always(3), way_of=GEESE, figure=True),
    Recipe(POINTED_SQUARE, None, fits_pointed_square, make_pointed, always(3), figure=True),
    Recipe(POINTED_OBLONG, None, fits_pointed_oblong, make_pointed, always(3), figure=True),
    Recipe(IN_SQUARE, None, fits_square_in_square, make_square_in_square, always(5), figure=True),
    Recipe(SNOWBALL, "flip", fits_snowball, make_snowball, lambda region: 1 + len(found_corners(region))),
    Recipe(
        HALVES,
        None,
        fits_halves,
        make_halves,
        patches_of_halves,
        diagonal=True,
        inner=inner_of_halves,
        ends=ends_of_halves,
    ),
    Recipe(BAND, "flip", fits_band, make_band, patches_of_band, diagonal=True),
    Recipe(BAND, "flip", fits_trunk, make_trunk, always(4), diagonal=True),
    Recipe(STOOD, None, fits_stood, make_stood, always(8), diagonal=True),
    Recipe(NESTED, None, fits_nested, make_nested, patches_of_nested, diagonal=True, inner=inner_of_nested),
    Recipe(ON_POINT, None, fits_on_point, make_on_point, patches_on_point, on_point=True, inner=inner_on_point),
    Recipe(STAR, None, fits_star, make_star, always(16), of_diamonds=True, ends=ends_of_star, parts=parts_of_star),
    Recipe(QUARTER, None, fits_quarter, make_level_quarters, always(4), of_quarter=LEVEL, ends=ends_of_level),
    Recipe(QUARTER, None, fits_quarter, make_upright_quarters, always(4), of_quarter=UPRIGHT, ends=ends_of_upright),
    Recipe(
        STRIP_SET,
        "strips",
        fits_strip_set,
        make_strip_set,
        lambda region: len(region.rows),
        strips=True,
        through=strips_pressed_down,
    ),
)
"""Every way to make every unit. Where several fit one region, the plan's setting chooses among them."""

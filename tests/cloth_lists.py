"""Cutting lists for tests, in eighths of an inch: random ones of the sizes that quilts have, and real ones."""

from __future__ import annotations

import random

from tracker.exact.measure import read_length
from tracker.quilt.packing import Item

_FINISHED = (8, 12, 16, 20, 24, 28, 32, 36, 48)
_LONGER = (16, 24, 32, 40, 48, 64, 80, 96)


def random_list(seed: int) -> tuple[int, list[Item]]:
    """A cloth's usable width and its pieces: squares, squares for triangles and rectangles; one cloth in four has a
    direction."""
    chance = random.Random(seed)
    width = 8 * chance.choice((40, 40, 41, 42))
    turns = chance.random() < 0.75
    counts: dict[tuple[int, int], int] = {}
    for _ in range(chance.randint(2, 6)):
        finished, kind = chance.choice(_FINISHED), chance.random()
        height = length = finished + (4 if kind < 0.5 else 7)
        if kind >= 0.7:
            height = finished + 4
            length = chance.choice([side for side in _LONGER if side > finished] + [96]) + 4
        counts[max(length, height), min(length, height)] = chance.randint(1, chance.choice((8, 24, 48)))
    return width, [Item(length, height, count, turns) for (length, height), count in counts.items()]


REAL = {
    "groovy log cabin, first logs (Quilter's World, 2021)": "40: 42 of 6 1/2 x 1 1/2, 42 of 5 1/2 x 1 1/2",
    "groovy log cabin, middle logs": "40: 42 of 8 1/2 x 1 1/2, 42 of 7 1/2 x 1 1/2",
    "groovy log cabin, outer logs": "40: 42 of 10 1/2 x 1 1/2, 42 of 9 1/2 x 1 1/2",
    "arkansas crossroads, border fabric (leaflet)": "42: 24 of 9 1/2 x 5, 24 of 5 x 5",
    "chocolate cherries, sashes (allpeoplequilt, 2022)": "42: 82 of 10 1/2 x 1 1/2",
    "chocolate cherries, squares and binding": "42: 48 of 1 1/2 x 1 1/2, 9 of 42 x 2 1/2",
    "four-block sampler, sashes (allpeoplequilt)": "42: 2 of 38 1/2 x 2 1/2, 3 of 34 1/2 x 2 1/2, 2 of 16 1/2 x 2 1/2",
    "prairie house stars, inner border (allpeoplequilt)": "42: 2 of 36 1/2 x 2, 2 of 33 1/2 x 2",
    "sampler borders (group)": "42: 2 of 34 1/2 x 1 1/2, 2 of 38 1/2 x 2 1/2, 2 of 38 1/2 x 4 1/2, 4 of 4 1/2 x 4 1/2",
    "rag quilt (patternmart, 2008)": "42: 130 of 6 x 6",
    "charm squares (lifescrapsandpatches, 2016)": "42: 50 of 4 x 4",
    "sashes and cornerstones (day 4 of a course)": "42: 60 of 10 1/2 x 1 1/2, 36 of 1 1/2 x 1 1/2",
    "shoo fly, four blocks (block of the month, 2006)": "40: 16 of 4 1/2 x 4 1/2, 8 of 5 x 5",
    "ohio star, background of 20 blocks": "40: 40 of 5 1/4 x 5 1/4, 80 of 4 1/2 x 4 1/2",
    "churn dash, light of 24 blocks": "40: 48 of 2 7/8 x 2 7/8, 96 of 2 1/2 x 1 1/2, 24 of 2 1/2 x 2 1/2",
    "friendship star, background of 30 blocks": "40: 60 of 2 7/8 x 2 7/8, 120 of 2 1/2 x 2 1/2",
    "sawtooth star, background of 12 blocks": "40: 48 of 3 1/2 x 2, 48 of 2 x 2",
    "log cabin, last logs of 48 blocks": "42: 48 of 7 x 1, 48 of 7 1/2 x 1",
    "irish chain, background and binding": "40: 20 of 8 1/2 x 8 1/2, 120 of 2 1/2 x 2 1/2, 8 of 40 x 2 1/2",
    "a lap quilt on point, setting cloth": "40: 3 of 18 1/4 x 18 1/4, 2 of 9 3/8 x 9 3/8, 6 of 12 1/2 x 12 1/2",
}
"""Lists of published quilts, and of published blocks in usual numbers: usable width, then the pieces of one cloth."""


def real_list(name: str) -> tuple[int, list[Item]]:
    """A real list as an usable width and items."""
    width, _, pieces = REAL[name].partition(": ")
    items = []
    for piece in pieces.split(", "):
        count, _, size = piece.partition(" of ")
        length, height = (int(read_length(side, "in").rational * 8) for side in size.split(" x "))
        items.append(Item(length, height, int(count), turns=True))
    return int(width) * 8, items

"""Made photos of laid blocks and drawings, and what a page samples of them (as static/straighten.js does), by numpy.

All is drawn by lot from a seed, within limits: tilt, perspective, a shadow, light, noise, blur, prints, gaps, seam
allowances, corners that were not hit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

SIDE = 420
"""Pixels of the straightened picture's longer side, as in static/photo.js."""


@dataclass(frozen=True)
class Limits:
    """How far a photo may be off: degrees, parts of a whole, parts of 255, pixels."""

    tilt: float = 15
    perspective: float = 0.15
    shadow: float = 0.4
    warmth: float = 0.25
    noise: float = 12
    blur: int = 2
    prints: float = 0.35
    gap: float = 0.06
    allowance: float = 0.06
    corners: float = 0.03


FIRST = Limits()
OTHER = Limits(
    tilt=22,
    perspective=0.2,
    shadow=0.5,
    warmth=0.35,
    noise=16,
    blur=3,
    prints=0.45,
    gap=0.09,
    allowance=0.09,
    corners=0.04,
)
"""Other limits, never looked at while tuning."""
PLAIN = Limits(0, 0, 0, 0, 0, 0, 0, 0, 0, 0)


def linear(colour: np.ndarray) -> np.ndarray:
    part = np.asarray(colour, float) / 255
    return np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)


def shown(light: np.ndarray) -> np.ndarray:
    light = np.clip(light, 0, 1)
    return 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


def homography(corners: np.ndarray) -> np.ndarray:
    """What takes the corners of the unit square (clockwise from the upper left) to these."""
    rows, right = [], []
    for (u, v), (x, y) in zip([(0, 0), (1, 0), (1, 1), (0, 1)], corners, strict=True):
        rows += [[u, v, 1, 0, 0, 0, -u * x, -v * x], [0, 0, 0, u, v, 1, -u * y, -v * y]]
        right += [x, y]
    return np.append(np.linalg.solve(np.array(rows), np.array(right)), 1).reshape(3, 3)


def through(matrix: np.ndarray, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    w = matrix[2, 0] * x + matrix[2, 1] * y + matrix[2, 2]
    return (matrix[0, 0] * x + matrix[0, 1] * y + matrix[0, 2]) / w, (
        matrix[1, 0] * x + matrix[1, 1] * y + matrix[1, 2]
    ) / w


def quarter_at(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """Which quarter (clockwise from the top) of a cell a place is in; u and v from -1 to 1."""
    return np.where(np.abs(v) >= np.abs(u), np.where(v < 0, 0, 2), np.where(u > 0, 1, 3))


def flat(cells, units, luck, limits):
    """The cloth (a number) at each place of the laid picture, -1 where the wall shows; a square of 600 a side."""
    rows, columns = len(cells), len(cells[0])
    keys = sorted({key for row in cells for quarters in row for key in quarters})
    numbers = np.array([[[keys.index(key) for key in quarters] for quarters in row] for row in cells])
    size = 600
    v, u = (np.mgrid[0:size, 0:size] + 0.5) / size
    x, y = u * columns, v * rows
    out = np.full((size, size), -1)
    gap, allowance = luck.uniform(0, limits.gap), luck.uniform(0, limits.allowance)
    for row, column, down, across in units:
        inside = (y >= row) & (y < row + down) & (x >= column) & (x < column + across)
        shift = luck.uniform(-gap / 3, gap / 3, 2)
        a, b = (x - column - shift[0] - gap / 2) / (across - gap), (y - row - shift[1] - gap / 2) / (down - gap)
        here = inside & (a >= 0) & (a < 1) & (b >= 0) & (b < 1)
        # The seam's allowance stands round what is seen when it is sewn: the pieces go on to the edge.
        a = np.clip((a - 0.5) * (1 + allowance / across) + 0.5, 0, 1 - 1e-9) * across
        b = np.clip((b - 0.5) * (1 + allowance / down) + 0.5, 0, 1 - 1e-9) * down
        c, r = np.floor(a).astype(int), np.floor(b).astype(int)
        quarter = quarter_at(2 * (a - c) - 1, 2 * (b - r) - 1)
        lies = numbers[np.clip(row + r, 0, rows - 1), np.clip(column + c, 0, columns - 1), quarter]
        out = np.where(here, lies, out)
    return out, keys


WHOLE = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))


def within(grid, u: np.ndarray, v: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The place in what is marked of one in a grid with these corners, as static/straighten.js finds it."""
    (x0, y0), (x1, y1), _, (x3, y3) = grid
    return x0 + u * (x1 - x0) + v * (x3 - x0), y0 + u * (y1 - y0) + v * (y3 - y0)


def hung(cloth: np.ndarray, grid) -> np.ndarray:
    """What is marked, of laid cells that slant: the grid's corners lie there in it."""
    size = cloth.shape[0]
    v, u = (np.mgrid[0:size, 0:size] + 0.5) / size
    (x0, y0), (x1, y1), _, (x3, y3) = grid
    back = np.linalg.inv(np.array([[x1 - x0, x3 - x0], [y1 - y0, y3 - y0]]))
    a, b = ((back[each, 0] * (u - x0) + back[each, 1] * (v - y0)) * size for each in (0, 1))
    inside = (a >= 0) & (a < size) & (b >= 0) & (b < size)
    near = (np.clip(each.astype(int), 0, size - 1) for each in (b, a))
    return np.where(inside, cloth[tuple(near)], -1)


def photo(cells, units, colours, seed: int, limits: Limits = FIRST, grid=WHOLE) -> tuple[np.ndarray, np.ndarray]:
    """A photo (rows of red, green, blue) of laid cells, and its corners (x, y) as they are hit, upper left first."""
    luck = np.random.default_rng(seed)
    cloth, keys = flat(cells, units, luck, limits)
    cloth = cloth if grid is WHOLE else hung(cloth, grid)
    size = cloth.shape[0]
    table = np.array([linear(colours[key]) for key in keys] + [linear(luck.integers(60, 250, 3))])
    light = table[cloth]
    v, u = (np.mgrid[0:size, 0:size] + 0.5) / size
    for number in range(len(keys)):
        strength, period = luck.uniform(0, limits.prints), luck.uniform(0.006, 0.03)
        wave = np.sin(2 * np.pi * u / period) * (np.sin(2 * np.pi * v / period) if luck.random() < 0.6 else 1)
        second = table[luck.integers(len(table))]
        part = (strength * (wave > 0.3))[..., None]
        light = np.where((cloth == number)[..., None], light * (1 - part) + part * second, light)
    light = light * (1 - luck.uniform(0, limits.shadow) * _shadow(u, v, luck))[..., None]
    light = light * (1 + luck.uniform(-limits.warmth, limits.warmth) * np.array([1, 0, -1]))
    return _seen_from_the_side(light, luck, limits)


def _shadow(u, v, luck):
    angle, at, soft = luck.uniform(0, 2 * np.pi), luck.uniform(0.25, 0.75), luck.uniform(0.01, 0.5)
    along = (u - 0.5) * np.cos(angle) + (v - 0.5) * np.sin(angle) + 0.5
    return np.clip((along - at) / soft + 0.5, 0, 1)


def _seen_from_the_side(light, luck, limits):
    size, wide = light.shape[0], 640
    turn = np.radians(luck.uniform(-limits.tilt, limits.tilt))
    corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * 0.33
    corners = corners * (1 + luck.uniform(-limits.perspective, limits.perspective, (4, 1)))
    cos, sin = np.cos(turn), np.sin(turn)
    corners = (corners @ np.array([[cos, sin], [-sin, cos]]) + 0.5) * wide
    y, x = np.mgrid[0:wide, 0:wide] + 0.5
    u, v = through(np.linalg.inv(homography(corners)), x, y)
    inside = (u >= 0) & (u < 1) & (v >= 0) & (v < 1)
    i, j = np.clip((v * size).astype(int), 0, size - 1), np.clip((u * size).astype(int), 0, size - 1)
    seen = np.where(inside[..., None], light[i, j], linear(luck.integers(60, 250, 3)))
    seen = shown(seen)
    for _ in range(luck.integers(0, limits.blur + 1)):
        padded = np.pad(seen, ((1, 1), (1, 1), (0, 0)), "edge")
        seen = sum(padded[a : a + wide, b : b + wide] for a in range(3) for b in range(3)) / 9
    seen = np.clip(seen + luck.normal(0, limits.noise * luck.random() + 1e-9, seen.shape), 0, 255).round()
    side = np.linalg.norm(corners[1] - corners[0])
    return seen, corners + luck.uniform(-1, 1, (4, 2)) * limits.corners * side


def sampled(seen: np.ndarray, corners: np.ndarray, columns: list[float], rows: list[float], grid=WHOLE) -> list[int]:
    """What a page samples: the mean colour of each cell's quarters, its edges left out. The lines run from 0 to 1."""
    matrix, numbers = homography(corners), []
    v, u = (np.mgrid[0:SIDE, 0:SIDE] + 0.5) / SIDE
    x, y = through(matrix, *within(grid, u, v))
    high, wide = seen.shape[:2]
    straight = seen[np.clip(y.astype(int), 0, high - 1), np.clip(x.astype(int), 0, wide - 1)]
    for top, below in pairwise(rows):
        for left, right in pairwise(columns):
            a, b = slice(round(top * SIDE), round(below * SIDE)), slice(round(left * SIDE), round(right * SIDE))
            dv = 2 * (v[a, b] - top) / (below - top) - 1
            du = 2 * (u[a, b] - left) / (right - left) - 1
            kept = (np.maximum(np.abs(du), np.abs(dv)) < 0.76) & (np.abs(np.abs(du) - np.abs(dv)) > 0.2)
            quarter = quarter_at(du, dv)
            for number in range(4):
                mean = straight[a, b][kept & (quarter == number)].mean(axis=0)
                numbers += [int(value) for value in np.floor(mean + 0.5)]
    return numbers


def even(number: int) -> list[float]:
    """The lines of so many like cells."""
    return [each / number for each in range(number + 1)]


__all__ = ["FIRST", "OTHER", "PLAIN", "Limits", "even", "photo", "replace", "sampled"]

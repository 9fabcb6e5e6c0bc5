"""A drawing or an old block read from a photo: which cloths there are, and what each cell of its grid shows."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product

from tracker.plan.picture import write_cell
from tracker.seeing.colours import Lab, Light, apart, colour_of, lab_of, middle
from tracker.seeing.samples import Colour, Samples
from tracker.seeing.shading import Quarter, lights_of, lit

ALIKE = 13.0
"""Colours nearer than this (CIE Lab) are one cloth: prints and uneven light part a cloth's cells about half as far."""

EACH_PATCH = 90.0
"""By how much (a squared difference) a cell must be better told by one patch more, to have it."""

EACH_CLOTH = 260.0
"""The same for one more cloth in the whole picture."""

FAR = 14.0
"""Quarters that look farther than this from the cloth they were given may be something else."""

RARE = 3
"""A cloth that fewer quarters show may be the edge of another."""

MOST_WEIGHED = 140
"""From so many patches, taken evenly, the shadow is told."""

KEYS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"

Shape = tuple[tuple[int, ...], ...]
_SHAPES: tuple[Shape, ...] = (((0, 1, 2, 3),), ((0, 3), (1, 2)), ((0, 1), (2, 3)), ((0,), (1,), (2,), (3,)))
"""How a cell may be parted, by its quarters: whole, in halves either way, in quarters."""


@dataclass(frozen=True)
class PhotoDrawing:
    """A picture as rows of cells as they are written, its cloths (key, colour; the most used first), and the cells
    (row, column) that could not be told surely."""

    picture: tuple[tuple[str, ...], ...]
    cloths: tuple[tuple[str, Colour], ...]
    doubtful: tuple[tuple[int, int], ...]


def read_photo(samples: Samples) -> PhotoDrawing:
    """What the cells of a photo show."""
    lights = lights_of(samples)
    shade = _shadow(lights, samples.rows, samples.columns)
    for _ in range(2):
        patches = list(_patches(lights, shade))
        cloths = _clustered(patches)
        shown = _told(lights, shade, cloths)
        shade = dict(lit(lights, shown).shade)
    cloths = _used(_clustered(list(_patches(lights, shade))), lights, shade)
    return _written(lights, shade, cloths, samples)


@dataclass
class _Patch:
    """Quarters of a cell that look alike, and their colour without its shade."""

    quarters: list[Quarter]
    light: Light
    look: Lab = field(init=False)

    def __post_init__(self) -> None:
        self.look = lab_of(self.light)


Shade = Mapping[tuple[int, int], float]


def _unshaded(light: Light, shade: float) -> Light:
    return light[0] - shade, light[1] - shade, light[2] - shade


def _patches(lights: Mapping[Quarter, Light], shade: Shade) -> Iterator[_Patch]:
    """Each cell in the fewest patches that tell what it looks like."""
    for cell, dark in shade.items():
        own = [_unshaded(lights[(*cell, number)], dark) for number in range(4)]
        looks = [lab_of(light) for light in own]
        shape = min(_SHAPES, key=lambda shape: _spread(looks, shape) + EACH_PATCH * len(shape))
        for part in shape:
            yield _Patch([(*cell, number) for number in part], middle([own[number] for number in part]))


def _spread(looks: Sequence[Lab], shape: Shape) -> float:
    spread = 0.0
    for part in shape:
        mean = tuple(sum(looks[number][axis] for number in part) / len(part) for axis in range(3))
        spread += sum(apart(looks[number], (mean[0], mean[1], mean[2])) for number in part)
    return spread


def _clustered(patches: Sequence[_Patch]) -> list[Lab]:
    """The colours of the cloths: patches that look alike are one cloth."""
    centres: list[list[_Patch]] = []
    for patch in sorted(patches, key=lambda each: -len(each.quarters)):
        near = min(centres, key=lambda own: apart(own[0].look, patch.look), default=None)
        if near is not None and apart(near[0].look, patch.look) < ALIKE**2:
            near.append(patch)
        else:
            centres.append([patch])
    colours = [_mean(own) for own in centres]
    for _ in range(4):
        sorted_in: list[list[_Patch]] = [[] for _ in colours]
        for patch in patches:
            away = [apart(patch.look, colour) for colour in colours]
            sorted_in[away.index(min(away))].append(patch)
        colours = _merged([own for own in sorted_in if own])
    return colours


def _merged(groups: list[list[_Patch]]) -> list[Lab]:
    """Their colours, those that look alike made one."""
    while True:
        colours = [_mean(own) for own in groups]
        pairs = [(apart(colours[a], colours[b]), a, b) for a in range(len(groups)) for b in range(a)]
        if not pairs or min(pairs)[0] >= ALIKE**2:
            return colours
        _, a, b = min(pairs)
        groups[b] += groups.pop(a)


def _mean(patches: Sequence[_Patch]) -> Lab:
    weight = sum(len(patch.quarters) for patch in patches)
    mean = [sum(patch.look[axis] * len(patch.quarters) for patch in patches) / weight for axis in range(3)]
    return mean[0], mean[1], mean[2]


# Shadow


def _shadow(lights: Mapping[Quarter, Light], rows: int, columns: int) -> dict[tuple[int, int], float]:
    """How much each cell is in the shade: the shadow that leaves the fewest cloths and tells their cells best."""
    plain = dict.fromkeys(((row, column) for row in range(rows) for column in range(columns)), 0.0)
    patches = list(_patches(lights, plain))
    few = patches[:: -(-len(patches) // MOST_WEIGHED)]
    best, cost = plain, _cost(few, plain)
    for angle, at, soft, dark in product(range(0, 360, 30), (0.3, 0.4, 0.5, 0.6, 0.7), (0.02, 0.3), (0.2, 0.4)):
        shade = _falling(angle, at, soft, dark, rows, columns)
        here = _cost(few, shade) + EACH_CLOTH / 2
        if here < cost:
            best, cost = shade, here
    return best


def _falling(angle: int, at: float, soft: float, dark: float, rows: int, columns: int) -> dict[tuple[int, int], float]:
    """A shadow over the part of a picture that lies that way, beyond so much of it."""
    across, down = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    found = {}
    for row, column in product(range(rows), range(columns)):
        along = ((column + 0.5) / columns - 0.5) * across + ((row + 0.5) / rows - 0.5) * down + 0.5
        found[row, column] = math.log(1 - dark * min(1.0, max(0.0, (along - at) / soft + 0.5)))
    return found


def _cost(patches: Sequence[_Patch], shade: Shade) -> float:
    """How badly a few cloths would tell these patches if they were shaded so."""
    centres: list[Lab] = []
    cost = 0.0
    for patch in patches:
        look = lab_of(patch.light, shade[patch.quarters[0][:2]])
        near = min((apart(look, centre) for centre in centres), default=ALIKE**2)
        if near >= ALIKE**2:
            centres.append(look)
            cost += EACH_CLOTH * 2
        else:
            cost += near
    return cost


# Cells


def _told(lights: Mapping[Quarter, Light], shade: Shade, cloths: Sequence[Lab]) -> dict[Quarter, int]:
    """The cloth of every quarter."""
    found = {}
    for cell in shade:
        _, _, parts = _ways(cell, lights, shade, cloths)[0]
        found.update(parts)
    return found


def _ways(
    cell: tuple[int, int], lights: Mapping[Quarter, Light], shade: Shade, cloths: Sequence[Lab]
) -> list[tuple[float, float, dict[Quarter, int]]]:
    """How a cell may be told by these cloths, best first: what that costs, how far it looks from what was seen (a mean
    square), and its cloths."""
    looks = [lab_of(lights[(*cell, number)], shade[cell]) for number in range(4)]
    off = [[apart(look, cloth) for cloth in cloths] for look in looks]
    found: dict[tuple[int, ...], tuple[float, float, dict[Quarter, int]]] = {}
    for shape in _SHAPES:
        lies = [0, 0, 0, 0]
        for part in shape:
            best = min(range(len(cloths)), key=lambda cloth: sum(off[number][cloth] for number in part))
            for number in part:
                lies[number] = best
        far = sum(off[number][lies[number]] for number in range(4))
        parts = {(*cell, number): lies[number] for number in range(4)}
        known = found.get(tuple(lies))
        cost = far + EACH_PATCH * len(shape)
        if known is None or cost < known[0]:
            found[tuple(lies)] = cost, far / 4, parts
    return sorted(found.values(), key=lambda way: way[0])


def _used(cloths: Sequence[Lab], lights: Mapping[Quarter, Light], shade: Shade) -> list[Lab]:
    """The cloths that lie somewhere, the most used first."""
    shown = list(_told(lights, shade, cloths).values())
    return [cloths[number] for number in sorted(set(shown), key=lambda each: -shown.count(each))][: len(KEYS)]


def _written(lights: Mapping[Quarter, Light], shade: Shade, cloths: Sequence[Lab], samples: Samples) -> PhotoDrawing:
    doubtful, rows = [], []
    used = Counter(_told(lights, shade, cloths).values())
    lying: dict[int, list[Light]] = {}
    for row in range(samples.rows):
        cells = []
        for column in range(samples.columns):
            ways = _ways((row, column), lights, shade, cloths)
            cost, off, parts = ways[0]
            rare = any(used[cloth] < RARE for cloth in parts.values())
            if rare or off > FAR**2 or (len(ways) > 1 and ways[1][0] - cost < EACH_PATCH / 2):
                doubtful.append((row, column))
            for quarter, cloth in parts.items():
                lying.setdefault(cloth, []).append(_unshaded(lights[quarter], shade[row, column]))
            top, right, below, left = (KEYS[parts[row, column, number]] for number in range(4))
            cells.append(write_cell((top, right, below, left)))
        rows.append(tuple(cells))
    colours = tuple((KEYS[number], colour_of(middle(lying[number]))) for number in sorted(lying))
    return PhotoDrawing(tuple(rows), colours, tuple(doubtful))


# How many cells

MOST_GUESSED = 24


def guessed_cells(steps: Sequence[int]) -> int:
    """How many like cells there are along a side, by how much the colours change at each of many places along it: where
    they change most, seams are. 1 for none."""
    length = len(steps)
    if length < 2 * MOST_GUESSED or not any(steps):
        return 1
    usual = sum(steps) / length
    spread = math.sqrt(sum((step - usual) ** 2 for step in steps) / length) or 1.0

    def told(cells: int) -> float:
        near = max(1, length // (cells * 16))
        lines = [round(length * line / cells) for line in range(1, cells)]
        peaks = [max(steps[max(0, line - near) : line + near + 1]) for line in lines]
        return (sum(peaks) / len(peaks) - usual) / spread * math.sqrt(len(peaks))

    return max(range(2, MOST_GUESSED + 1), key=told)

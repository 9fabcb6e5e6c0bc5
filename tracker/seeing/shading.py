"""How the light falls over a photo, and what colour each cloth has in it, learnt from the photo itself."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

from tracker.seeing.colours import Lab, Light, lab_of, light_of, median, middle
from tracker.seeing.samples import Samples

ROUNDS = 5
"""So often cloths and shadows are learnt from each other; they change no more then."""

Quarter = tuple[int, int, int]
"""Row, column and number (clockwise from the top) of a quarter."""


@dataclass(frozen=True)
class Lit:
    """The light of every quarter, and how much each cell is in the shade."""

    lights: Mapping[Quarter, Light]
    shade: Mapping[tuple[int, int], float]

    def look(self, quarter: Quarter) -> Lab:
        """A quarter's colour as if nothing shaded it."""
        return lab_of(self.lights[quarter], self.shade[quarter[:2]])

    def cloth(self, quarters: Sequence[Quarter]) -> Lab:
        """The colour of a cloth, where it lies in all of these. ValueError for none."""
        return lab_of(middle([self._unshaded(quarter) for quarter in quarters]))

    def _unshaded(self, quarter: Quarter) -> Light:
        red, green, blue = self.lights[quarter]
        shade = self.shade[quarter[:2]]
        return red - shade, green - shade, blue - shade


def lights_of(samples: Samples) -> dict[Quarter, Light]:
    """The light of every quarter of a photo."""
    return {
        (row, column, number): light_of(colour)
        for row, cells in enumerate(samples.cells)
        for column, cell in enumerate(cells)
        for number, colour in enumerate(cell)
    }


def lit(lights: Mapping[Quarter, Light], cloths: Mapping[Quarter, Hashable]) -> Lit:
    """Shade and lights of a photo in which these cloths lie (most of them truly)."""
    found = Lit(lights, dict.fromkeys((quarter[:2] for quarter in lights), 0.0))
    lying: dict[Hashable, list[Quarter]] = {}
    for quarter, cloth in cloths.items():
        lying.setdefault(cloth, []).append(quarter)
    for _ in range(ROUNDS):
        colours = {cloth: middle([found._unshaded(each) for each in quarters]) for cloth, quarters in lying.items()}
        darker: dict[tuple[int, int], list[float]] = {}
        for quarter, cloth in cloths.items():
            pairs = zip(lights[quarter], colours[cloth], strict=True)
            darker.setdefault(quarter[:2], []).append(sum(seen - own for seen, own in pairs) / 3)
        found = Lit(lights, _smooth(darker))
    return found


def _smooth(darker: Mapping[tuple[int, int], list[float]]) -> dict[tuple[int, int], float]:
    """The middle over each cell and those round it: a shadow has an edge, but no cell is a shadow by itself."""
    smooth = {}
    for row, column in darker:
        near = [(row + down, column + across) for down in (-1, 0, 1) for across in (-1, 0, 1)]
        smooth[row, column] = median(value for cell in near for value in darker.get(cell, ()))
    return smooth

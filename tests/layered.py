"""Layers of cloth as a general geometry library sees them, in floats: for the reference of the exact sewing.

A layer is what one thickness shows: the shape of each cloth in it.
"""

from __future__ import annotations

from collections.abc import Iterable

from handmade import shape
from shapely import Polygon as Shape
from shapely import box, union_all
from shapely.affinity import rotate, translate
from shapely.geometry.base import BaseGeometry

from tracker.cloth.pieces import Content, Piece

Layer = dict[str, BaseGeometry]
Layers = list[Layer]

FINE = 1e-9
"""The grid that unions are snapped to."""
NEAR = 1e-5
"""Areas that differ by less are the same."""


def layers_of(content: Content) -> Layers:
    """The layers of a content as the library sees them."""
    pieces = [content] if isinstance(content, Piece) else list(content.pieces)
    return [_layer(piece) for piece in pieces]


def _layer(piece: Piece) -> Layer:
    fabrics = {facet.fabric for facet in piece.facets}
    return {
        fabric: union_all([shape(f.polygon) for f in piece.facets if f.fabric == fabric], grid_size=FINE)
        for fabric in fabrics
    }


def same_layers(first: Layers, second: Layers) -> bool:
    """Whether two sets of layers cover the same, cloth by cloth."""
    if len(first) != len(second):
        return False
    return all(
        own.get(fabric, Shape()).symmetric_difference(other.get(fabric, Shape())).area < NEAR
        for own, other in zip(first, second, strict=True)
        for fabric in own.keys() | other.keys()
    )


FAR = 1000.0


def mapped(layer: Layer, change: object) -> Layer:
    return {fabric: change(each) for fabric, each in layer.items()}  # type: ignore[operator]


def bounds(layers: Iterable[Layer]) -> tuple[float, float, float, float]:
    each = [shape.bounds for layer in layers for shape in layer.values()]
    return min(b[0] for b in each), min(b[1] for b in each), max(b[2] for b in each), max(b[3] for b in each)


def settled(layers: Layers) -> Layers:
    left, top, _, _ = bounds(layers)
    return [mapped(layer, lambda each: translate(each, -left, -top)) for layer in layers]


def turned(layers: Layers, degrees: int) -> Layers:
    # The library turns from x toward y, which is clockwise where y runs down.
    return settled([mapped(layer, lambda each: rotate(each, degrees, origin=(0, 0))) for layer in layers])


def clipped(layer: Layer, window: BaseGeometry) -> Layer:
    kept = {fabric: each.intersection(window) for fabric, each in layer.items()}
    return {fabric: each for fabric, each in kept.items() if each.area > NEAR}


def joined(layers: Layers, across: bool, s: float, beyond: float = 0.0) -> Layer:
    """Layers side by side, each joined edge losing the seam allowance; the first and last reach `beyond` the others."""
    whole: Layer = {}
    at = 0.0
    for place, layer in enumerate(layers):
        _, _, width, height = bounds([layer])
        long = width if across else height
        low = s if place else -1.0
        high = long - s if place < len(layers) - 1 else long + 1
        window = box(low, -1, high, height + 1) if across else box(-1, low, width + 1, high)
        aside = beyond if 0 < place < len(layers) - 1 else 0.0
        for fabric, each in clipped(layer, window).items():
            moved = translate(each, at if across else aside, aside if across else at)
            whole[fabric] = union_all([whole.get(fabric, Shape()), moved], grid_size=FINE)
        at += long - 2 * s
    return whole

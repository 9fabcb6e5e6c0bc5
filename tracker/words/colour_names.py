"""Colours that a cloth can be given by touch, each with a plain name."""

from __future__ import annotations

_HUES = (
    "rose", "red", "brick", "orange", "gold", "yellow", "leaf green", "green", "teal", "sky blue", "blue", "violet",
    "plum", "brown",
)  # fmt: skip

_SHADES = {
    "pale": (
        "#e7d0d5", "#e9cfce", "#e6d5d0", "#ebd9cb", "#ebe1cc", "#ece9cb", "#dce5d2", "#d3e4d8", "#d1e6e6", "#d0dee7",
        "#d0d7e7", "#d9d2e4", "#e3d3e1", "#e3dad3",
    ),
    "soft": (
        "#ce6e86", "#d46d68", "#cb8671", "#e0955d", "#ddb75f", "#e2d55a", "#a1c577", "#7bc192", "#74c8c8", "#6ea9ce",
        "#6e8bce", "#9479c3", "#bf7db6", "#bf977d",
    ),
    "deep": (
        "#a6304e", "#ae2f29", "#a34d33", "#bb601b", "#b88a1e", "#bfae18", "#6e9b3b", "#40965d", "#389f9f", "#3079a6",
        "#3054a6", "#5f3e98", "#944289", "#946342",
    ),
    "dark": (
        "#5d1d2d", "#611d19", "#5b2d1f", "#693712", "#674e13", "#6b6110", "#3f5723", "#265435", "#215959", "#1d455d",
        "#1d305d", "#372556", "#53274d", "#533927",
    ),
}  # fmt: skip

_PLAIN = (
    ("white", "#ffffff"), ("cream", "#f6f0df"), ("pale sand", "#e4dccb"), ("pale grey", "#d2d2d0"), ("grey", "#a3a3a1"),
    ("mid grey", "#7b7b7a"), ("dark grey", "#4f4f50"), ("charcoal", "#2e2e30"), ("black", "#131314"),
)  # fmt: skip

COLOURS: tuple[tuple[str, str], ...] = _PLAIN + tuple(
    (f"{shade} {hue}", colour) for shade, colours in _SHADES.items() for hue, colour in zip(_HUES, colours, strict=True)
)
"""(name, colour): whites to black first, then each hue from pale to dark."""

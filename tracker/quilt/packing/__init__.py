"""Strips across a width, cut into rectangles: two-stage guillotine cutting stock, in whole numbers.

Every strip spans the width and is as high as its highest rectangle; rectangles stand side by side in it, each cut off
by one straight cut across the strip and, where it is lower, trimmed. Wanted are the fewest strips, then the least
height of all strips together, among the ways that need no more height than when every item has strips of its own, and
that turn rectangles only where that needs no more height than not turning any. Of those the fewest second trims are
wanted, then the largest leftover in one piece.

The best found is compared with a bound that no cutting can beat; small questions are searched to the end. Nothing is
left to chance: the same question always has the same answer.
"""

from tracker.quilt.packing.hunt import PackedStrip, Packing, PlacedItem, pack, shelves
from tracker.quilt.packing.question import DoesNotFit, Item, Question

__all__ = ["DoesNotFit", "Item", "PackedStrip", "Packing", "PlacedItem", "Question", "pack", "shelves"]

"""One cloth of a plan."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.exact.measure import Measure
from tracker.plan.keys import colour, flag, from_file, length, text, tone, whole


@dataclass(frozen=True)
class Fabric:
    """A cloth. `tone` runs from 1 (lightest) to 9 (darkest); `have` is a length in the cupboard, `usable` a width."""

    key: str
    name: str = from_file(text("what the cloth is called", "pale sand"))
    tone: int = from_file(
        tone("1 (lightest) to 9 (darkest); seams are pressed toward the dark; without it, as light as the colour looks")
    )
    colour: str = from_file(colour("how it is drawn, as `#e4dccb`; without it, a grey of that tone"))
    usable: Measure = from_file(length("its width without selvages (40 in, 100 cm)", lambda usual: usual.usable))
    have: Measure | None = from_file(length("the length in the cupboard, as `1 1/2 yd`"), default=None)
    directional: bool = from_file(
        flag("`true`: its print has a direction; its pieces are never turned on the cloth"), default=False
    )
    fat_quarters: int = from_file(whole("how many are in the cupboard", 0, 10_000, "from 0 to 10,000"), default=0)
    upright: bool = from_file(
        flag(
            "`true`: its print stands upright in every block, as a cloth with a direction: units are made so, and what "
            "would turn it is refused"
        ),
        default=False,
    )

    def __post_init__(self) -> None:
        if self.upright:
            object.__setattr__(self, "directional", True)

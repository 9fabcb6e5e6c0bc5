"""The route of what comes after the top: backing, layers, quilting, squaring and binding."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise

from tracker.exact.measure import Measure
from tracker.quilt.borders import BackingNeed, BindingNeed
from tracker.quilt.setting import Setting
from tracker.route.border_route import joined_strips
from tracker.route.centre_route import Centre, TopBench
from tracker.units.maker import token, trim_to
from tracker.work.pressed import SeamPress
from tracker.work.steps import About
from tracker.work.things import Kind, Stage, Thing
from tracker.work.whole_blocks import Bind, JoinParts, Layer, Member, QuiltLayers


class FinishingRoute(TopBench):
    """Writes the steps from the top to the bound quilt."""

    about = About.FINISHING

    def write(self, top: Centre, setting: Setting) -> str:
        """The steps; the pile of the quilt, which is the top where the plan has nothing beyond it."""
        if setting.backing is not None or setting.batting is not None:
            backing = self._backing(setting.backing) if setting.backing is not None else None
            top = replace(top, pile=self._layers(top, backing, setting))
        return top.pile if setting.binding is None else self._bind(top, setting.binding)

    def _backing(self, need: BackingNeed) -> str:
        """The panels of the backing, joined and pressed open."""
        members = []
        for panel in need.panels:
            size = panel if need.runs == "down" else (panel[1], panel[0])
            pile = self.bench.cut(need.fabric, *size, "backing")
            members.append(Member(pile, 90 if size[0] < size[1] else 0))
        made = ";".join(f"{member.pile}~{member.turn}" for member in members) + need.runs
        if len(members) == 1:
            return self._as_it_lies(need, members[0], made)
        panels = [Thing(Kind.PANEL, number) for number, _ in enumerate(members, 1)]
        across = "across" if need.runs == "down" else "down"
        action = JoinParts(tuple(members), across, ((),) * need.seams)
        takes = Counter(member.pile for member in members)
        seams = [SeamPress(between, None) for between in pairwise(panels)]
        return self.join(made, Thing(Kind.BACKING), takes, action, seams, need.size)

    def _as_it_lies(self, need: BackingNeed, panel: Member, made: str) -> str:
        """A backing of one panel, squared."""
        size = self.bench.piles[panel.pile].size
        assert size is not None
        trim = trim_to(need.size, size, panel.turn if size != need.size else 0)
        return self.make(made, Thing(Kind.BACKING), "square", Stage.SQUARED, {panel.pile: 1}, trim, need.size)

    def _layers(self, top: Centre, backing: str | None, setting: Setting) -> str:
        """Layers laid, quilted, and squared to the top's edge."""
        quilt = self.plan.quilt
        sizes = [quilt.backing.beyond] if quilt.backing else []
        sizes += [quilt.batting_beyond] if quilt.batting_beyond is not None else []
        beyond = min(sizes, default=Measure())
        action = Layer(top.pile, backing, setting.batting, beyond)
        batting = "" if setting.batting is None else f"{token(setting.batting[0])}x{token(setting.batting[1])}"
        made = f"{top.pile}|{backing}|{batting}"
        takes = {top.pile: 1} if backing is None else {top.pile: 1, backing: 1}
        quilted = Thing(Kind.QUILT)
        pile = self.make(made, quilted, "lay out", Stage.LAYERED, takes, action, top.size, front=top.pile)
        pile = self.make(made, quilted, "sew", Stage.QUILTED, {pile: 1}, QuiltLayers(), top.size)
        return self.make(made, quilted, "square", Stage.SQUARED, {pile: 1}, trim_to(top.size), top.size)

    def _bind(self, top: Centre, need: BindingNeed) -> str:
        """The binding joined to one strip, and sewn on."""
        usable = self.plan.fabrics[need.fabric].usable
        made = f"{need.fabric}:{token(need.width)}:binding:{need.strips}:{token(usable)}"
        binding = joined_strips(TopBench(self.bench), need.fabric, [(usable, need.strips)], need.width, "binding", made)
        action = Bind(top.pile, binding)
        takes = {top.pile: 1, binding: 1}
        return self.make(
            f"{top.pile}|{binding}", Thing(Kind.QUILT), "bind", Stage.BOUND, takes, action, top.size, front=top.pile
        )

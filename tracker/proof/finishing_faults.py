"""Whether the layers and the binding of a quilt are as planned. Works from the plan and the cloth alone."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.cloth.pieces import Piece
from tracker.cloth.sewing import Trace
from tracker.cloth.sewing_faults import SewingFault, fault
from tracker.exact.geometry import ZERO
from tracker.exact.measure import Measure, round_up
from tracker.plan.model import Plan
from tracker.work.steps import Checklist, Step
from tracker.work.whole_blocks import Bind, Layer, QuiltLayers

WHERE = "whole quilt"


def finishing_faults(plan: Plan, checklist: Checklist, trace: Trace, last: str) -> Iterator[SewingFault]:
    """Layers and binding are there where the plan has them, and the binding comes last."""
    quilt = plan.quilt
    done = {type(step.action): step for step in checklist.steps if step.count}
    layered = quilt.backing is not None or quilt.batting_beyond is not None
    bound = quilt.binding is not None
    for what, kind, there in (("layers", Layer, layered), ("quilting", QuiltLayers, layered), ("binding", Bind, bound)):
        if (kind in done) != there:
            yield fault(WHERE, "count", what=what, printed=int(kind in done), found=int(there))
    if Bind in done and done[Bind].gives[0].pile != last:
        yield fault(done[Bind].id, "not one quilt", found=last)
    if Bind in done:
        yield from _binding_faults(plan, trace, done[Bind])
    if Layer in done:
        action = done[Layer].action
        assert isinstance(action, Layer)
        yield from _layer_faults(plan, trace, done[Layer], action)


_BINDING_EXTRA = {"in": Measure(10), "cm": Measure(25)}
"""For turning the corners and joining the ends (common practice)."""


def _binding_faults(plan: Plan, trace: Trace, step: Step) -> Iterator[SewingFault]:
    """The binding is of its cloth and width, and long enough."""
    assert isinstance(step.action, Bind)
    binding, quilt, wanted = trace.lying[step.action.binding], trace.lying[step.action.quilt], plan.quilt.binding
    assert isinstance(binding, Piece)
    assert isinstance(quilt, Piece)
    if wanted is None:
        return
    if {facet.fabric for facet in binding.facets} != {wanted.fabric} or wanted.cut not in binding.size:
        yield fault(step.id, "count", what="binding", printed=str(wanted), found="another cloth or width")
    needed = 2 * (quilt.size[0] + quilt.size[1]) + _BINDING_EXTRA[plan.unit]
    if max(binding.size) < needed:
        yield fault(step.id, "size", pile=step.action.binding, printed=needed, found=max(binding.size))


def _layer_faults(plan: Plan, trace: Trace, step: Step, action: Layer) -> Iterator[SewingFault]:
    """Backing and batting reach just as far beyond the top as the plan says, up to the ruler's mark."""
    quilt, top = plan.quilt, trace.lying[action.top]
    assert isinstance(top, Piece)
    backing = trace.lying.get(action.backing or "")
    cloths = {facet.fabric for facet in backing.facets} if isinstance(backing, Piece) else set()
    if quilt.backing is not None and cloths != {quilt.backing.fabric}:
        yield fault(step.id, "count", what="backing", printed=quilt.backing.fabric, found=", ".join(sorted(cloths)))
    found = backing.size if isinstance(backing, Piece) else None, action.batting
    beyond = quilt.backing.beyond if quilt.backing is not None else None, quilt.batting_beyond
    for printed, far in zip(found, beyond, strict=True):
        wanted = None if far is None else tuple(round_up(side + 2 * far, plan.ruler) for side in top.size)
        if printed != wanted:
            yield fault(step.id, "size", pile="layers", printed=printed or "none", found=wanted or "none")
    least = min((far for far in beyond if far is not None), default=ZERO)
    if action.beyond != least:
        yield fault(step.id, "size", pile="layers", printed=action.beyond, found=least)

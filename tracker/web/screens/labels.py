"""Labels for bags and trays: a sheet of QR codes to print."""

from __future__ import annotations

from collections.abc import Iterator

from flask import Response, request

from tracker.safekeeping.callers import is_loopback
from tracker.server import qr_codes as codes
from tracker.server.addresses import host_names, with_port
from tracker.web import drawings
from tracker.web.faults import PageFault
from tracker.web.opened import Opened
from tracker.web.pages import Link, parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.words.thing_words import TURNED, listed, plural, spoken
from tracker.work.steps import Mark, Pile
from tracker.work.things import Stage

screen = Screen("labels", "/quilts/<quilt_id>/labels")

WHICH = {"pieces": "Patches and units", "piles": "Every pile", "blocks": "Blocks"}
"""What a sheet may hold: patches as cut and finished units, all piles of loose pieces, or the blocks."""


@screen.get("")
def sheet(quilt_id: str) -> Response:
    """Labels to print, for the address that phones at home open."""
    which, host = request.args.get("which", "pieces"), request.args.get("at") or host_of_labels()
    if which not in WHICH or not parts().addresses.allows(host):
        raise PageFault(
            404, "There are no such labels; choose others.", Link(f"/quilts/{quilt_id}/labels", "To the labels")
        )
    with parts().desk.quilt(quilt_id) as opened:
        labels = list(_blocks(opened, host) if which == "blocks" else _piles(opened, host, which))
        at = f"/quilts/{quilt_id}/labels"
        kinds = [
            {"href": f"{at}?which={name}&at={host}", "words": words, "chosen": name == which}
            for name, words in WHICH.items()
        ]
        hosts = [
            {"href": f"{at}?which={which}&at={each}", "words": each, "chosen": each == host} for each in _hosts(host)
        ]
        return quilt_page("labels", "", opened, quilt=opened, labels=labels, kinds=kinds, hosts=hosts, host=host)


def label_of(opened: Opened, host: str, code: str, words: str) -> Facts:
    """A label whose code leads to a pile or block, by its short name: the code drawn, and what to write beside it."""
    path = f"/l/{opened.id}/{code}"
    drawing = codes.svg(f"http://{host}{path}", "Q", f"QR code of {words}")
    return {"drawing": drawing, "words": words, "path": path, "many": "", "picture": "", "bag": ""}


def _blocks(opened: Opened, host: str) -> Iterator[Facts]:
    """A label for each block, by its number."""
    plan = opened.compiled.plan
    turns = dict(enumerate(plan.quilt.turns_in_order(), 1))
    for number, key in opened.counts.block_keys.items():
        turned = f", {TURNED[turns[number]]}" if turns[number] else ""
        yield label_of(opened, host, f"b{number}", f"Block {number}, {plan.blocks[key].name}{turned}")


def _piles(opened: Opened, host: str, which: str) -> Iterator[Facts]:
    """A label for each pile of loose pieces, or for patches as they are cut and finished units, in the order of the
    work."""
    compiled = opened.compiled
    finished = {unit.pile for unit in compiled.checklist.units}
    for pile in compiled.checklist.piles.values():
        cut = pile.thing.is_patch and pile.stage is Stage.CUT
        if pile.block is not None or not (which == "piles" or pile.id in finished or cut):
            continue
        yield label_of_pile(opened, host, pile, _count(opened, pile))


def label_of_pile(opened: Opened, host: str, pile: Pile, count: int) -> Facts:
    """A label for so many pieces of a pile: how many and what for, one of them drawn, the letter of its bag where it
    has one."""
    compiled = opened.compiled
    label = label_of(opened, host, compiled.pile_codes[pile.id], opened.words.pile_alone(pile.id))
    drawing = drawings.of_pile(compiled, pile.id)
    return label | {"many": _many(opened, pile, count), "picture": drawing, "bag": pile.bag or ""}


def _count(opened: Opened, pile: Pile) -> int:
    """How many pieces come to lie on a pile."""
    makers = [(step, flow) for step in opened.steps for flow in step.gives if flow.pile == pile.id]
    return sum(opened.counts.count(step) * flow.each for step, flow in makers)


def _many(opened: Opened, pile: Pile, count: int) -> str:
    """`48 pieces, for half-square triangles, river teal / pale sand`: so many pieces, and what they go into."""
    names = dict.fromkeys(_goes_into(opened, pile.id))
    return f"{count} {plural('piece', count)}" + (f", for {listed(list(names)[:MOST_USES])}" if names else "")


MOST_USES = 3
"""So many things that a pile goes into are named on its label."""


def _goes_into(opened: Opened, pile: str) -> Iterator[str]:
    """What the pieces of a pile become part of; marked, they are the same pieces still."""
    for step in opened.words.takers_of.get(pile, ()):
        made = opened.compiled.checklist.made(step)
        if step.per != "quilt":
            yield opened.compiled.plan.blocks[step.per].name
        elif isinstance(step.action, Mark):
            yield from _goes_into(opened, made.id)
        elif step.count:
            yield "the quilt" if step.of_the_quilt else plural(spoken(made.thing), 2)


def host_of_labels() -> str:
    """The host that this page was opened under, where a phone can open it too; else the best address."""
    host = request.host.lower()
    if not _only_here(host):
        return host
    best = parts().addresses.current().best
    return with_port(best.ip, parts().addresses.port) if best else host


def _only_here(host: str) -> bool:
    name = host.rpartition(":")[0].strip("[]") or host
    return name == "localhost" or is_loopback(name)


def _hosts(chosen: str) -> list[str]:
    """Hosts that labels may name: the chosen one, this computer's addresses, and its name where names are known."""
    book = parts().addresses
    found = [chosen, *(with_port(address.ip, book.port) for address in book.current().addresses)]
    found += [with_port(name, book.port) for name in host_names() if name.endswith(".local")]
    return list(dict.fromkeys(host for host in found if book.allows(host)))

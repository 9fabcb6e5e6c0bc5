"""Labels for bags and trays: a sheet of QR codes to print."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Response, request

from tracker.safekeeping.callers import is_loopback
from tracker.server import qr_codes as codes
from tracker.server.addresses import host_names, with_port
from tracker.web.faults import PageFault
from tracker.web.opened import Opened
from tracker.web.pages import Link, parts, quilt_page
from tracker.web.screen import Screen
from tracker.words.thing_words import TURNED
from tracker.work.things import Stage

screen = Screen("labels", "/quilts/<quilt_id>/labels")


WHICH = {"pieces": "Patches and units", "piles": "Every pile", "blocks": "Blocks"}
"""What a sheet may hold: patches as cut and finished units, all piles of loose pieces, or the blocks."""


@dataclass(frozen=True)
class Label:
    """One label: its code drawn, what to write below it, and the short end of its address."""

    drawing: str
    words: str
    short: str


@dataclass(frozen=True)
class Choice:
    """Something to choose on the page: its link, its words, whether it is chosen."""

    href: str
    words: str
    chosen: bool


@screen.get("")
def sheet(quilt_id: str) -> Response:
    """Labels to print, for the address that phones at home open."""
    which, host = request.args.get("which", "pieces"), request.args.get("at") or host_of_labels()
    if which not in WHICH or not parts().addresses.allows(host):
        raise PageFault(
            404, "There are no such labels; choose others.", Link(f"/quilts/{quilt_id}/labels", "To the labels")
        )
    with parts().desk.quilt(quilt_id) as opened:
        labels = [label_of(opened, host, code, words) for code, words in _wanted(opened, which)]
        at = f"/quilts/{quilt_id}/labels"
        kinds = [Choice(f"{at}?which={name}&at={host}", words, name == which) for name, words in WHICH.items()]
        hosts = [Choice(f"{at}?which={which}&at={each}", each, each == host) for each in _hosts(host)]
        return quilt_page("labels", "", opened, quilt=opened, labels=labels, kinds=kinds, hosts=hosts, host=host)


def label_of(opened: Opened, host: str, code: str, words: str) -> Label:
    """A label whose code leads to a pile or block, by its short name."""
    path = f"/l/{opened.id}/{code}"
    return Label(codes.svg(f"http://{host}{path}", "Q", f"QR code of {words}"), words, path)


def _wanted(opened: Opened, which: str) -> list[tuple[str, str]]:
    """Code and words of each label, in the order of the work."""
    compiled = opened.compiled
    if which == "blocks":
        names = {key: block.name for key, block in compiled.plan.blocks.items()}
        turns = dict(enumerate(compiled.plan.quilt.turns_in_order(), 1))
        return [
            (f"b{number}", f"Block {number}, {names[key]}{f', {TURNED[turns[number]]}' if turns[number] else ''}")
            for number, key in opened.counts.block_keys.items()
        ]
    finished = {unit.pile for unit in compiled.checklist.units}
    piles = (pile for pile in compiled.checklist.piles.values() if pile.block is None)
    wanted = (
        pile.id
        for pile in piles
        if which == "piles" or pile.id in finished or (pile.thing.is_patch and pile.stage is Stage.CUT)
    )
    return [(compiled.pile_codes[pile], opened.words.pile_alone(pile)) for pile in wanted]


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

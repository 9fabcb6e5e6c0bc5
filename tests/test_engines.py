"""The pages in the engines of other browsers: a device let in, a block walked, the computer away and back, a quilt
drawn, a block measured, paper. Each engine is started once; Chromium is what all other tests of the screens use."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from random import SystemRandom

import pytest
from effort import THOROUGH
from engines import WHERE, Engine, EngineMissing, firefox, program, webkit
from house import House
from made_photos import PLAIN
from test_screens_photo import laid, made
from test_screens_sizes import lantern
from visitors import SMALL_PLAN, Quilt, Visitor
from walking import begin

ENGINES: dict[str, Callable[[House], AbstractContextManager[Engine]]] = {
    "webkit": lambda house: webkit(house.port),
    "firefox": lambda house: firefox(house.folder.parent / "profile"),
}

AT = """() => {
    const it = document.querySelector('#live[data-step]');
    return it && `${it.dataset.step} ${it.dataset.version}`;
}"""
ELSEWHERE = f"(at) => {{ const now = ({AT})(); return now && now !== at; }}"
TURNED = f"(at) => {{ const now = ({AT})(); return now && now.split(' ')[0] !== at.split(' ')[0]; }}"
BEHIND = """() => sewingRoom.ahead.load().then(sewingRoom.ahead.loadMore)
    .then(() => document.documentElement.dataset.ahead)"""
SETTLED = "() => window.sewingRoom && sewingRoom.loaded.then(() => !sewingRoom.waiting().length)"
"""Every tap is on the disk, whatever page has come."""
WAITING = "() => window.sewingRoom ? sewingRoom.waiting().length : 0"


def go_on(engine: Engine, until: str) -> None:
    """Touch what the screen offers, once more where what lay under the finger was just being replaced."""
    at = engine.comes(AT)
    while True:
        engine.tap("a.carry-on", "#all")
        if engine.soon(until, at):
            return


def saved(engine: Engine) -> None:
    """Wait until every tap of this page is on the disk."""
    engine.sees("#saving", "✓ Saved")


def is_let_in(engine: Engine, house: House, quilt: Quilt) -> None:
    """By the link of the QR code, and its button."""
    engine.open(house.address + house.pairing.path)
    engine.tap("main form button")
    engine.sees("h1", "Quilts")
    assert engine.run("() => getComputedStyle(document.querySelector('nav [aria-current]')).textDecorationLine") == (
        "underline"
    ), "where she is"


def walks_a_block(engine: Engine, house: House, quilt: Quilt) -> None:
    """From the first page to a sample that is finished, by what the screens offer."""
    begun = None
    while not begun:  # a card moves where its picture comes only under the finger
        engine.open(house.address)
        engine.tap(f".quilt-card a.carry-on[href^='{quilt.at}/']")
        begun = engine.soon(AT)
    while not quilt.progress().counts.blocks_finished():
        go_on(engine, ELSEWHERE)
        engine.comes(SETTLED)
    assert quilt.progress().unsettled() == []


def goes_on_without_the_computer(engine: Engine, house: House, quilt: Quilt) -> None:
    """Taps wait on the device, steps are turned from memory, and all is saved when the computer is back."""
    taps = len(quilt.stored.taps)
    engine.open(f"{house.address}{quilt.at}/step")
    engine.comes(BEHIND)
    house.stop()
    while (waiting := engine.run(WAITING)) < 2:
        go_on(engine, TURNED)
    engine.sees("#away", "The computer does not answer.")
    engine.sees("#saving", f"{waiting} taps not saved yet")
    house.start()
    saved(engine)
    assert len(house.quilts()[0].stored.taps) == taps + waiting


def draws_a_quilt(engine: Engine, house: House, quilt: Quilt) -> None:
    """A star of nine cells by touch, its points turned by touching them again, and a quilt of it."""
    engine.open(f"{house.address}/draw")
    engine.tap(CELL.format(1, 1))
    engine.tap("[data-same=turned]")
    engine.tap("[data-tool=half]")
    said = ""
    while "pale sand upper left, deep brick lower right" not in said:
        engine.tap(CELL.format(0, 1))
        said = engine.soon(SAID_ANEW, said) or said
    engine.tap("[data-go=make]")
    engine.sees("#look-state", "✓ This can be sewn.")
    engine.tap("#make")
    engine.comes("() => location.pathname.startsWith('/quilts/') && document.readyState === 'complete'")
    drawn = house.store.quilts()[-1]
    assert "A    A/B  A\nA\\B  B    B\\A\nA    B/A  A\n" in drawn.about["plan"]


CELL = "#board [data-row='{}'][data-column='{}']"
SAID_ANEW = """(before) => {
    const said = document.querySelector('#said').innerText;
    return said.startsWith('Row 1, cell 2') && said !== before && said;
}"""


def measures_a_block(engine: Engine, house: House, quilt: Quilt) -> None:
    """Six touches on the ruler, and what they say."""
    measured = lantern(house, 11)
    engine.open(f"{house.address}{measured.at}/measure/12")
    for _ in range(6):
        engine.tap(".ruler .planned")
    assert engine.comes(TYPED) == ["10 1/2"] * 6
    engine.tap(".block-measures button.big")
    engine.sees(".said", "As planned, 10½ in")


TYPED = """() => {
    const typed = [...document.querySelectorAll('fieldset input')].map((each) => each.value);
    return typed.every(Boolean) && typed;
}"""


def looks_at_a_photo(engine: Engine, house: House, quilt: Quilt) -> None:
    """A file through the field, a corner drawn away and back by the finger, and the unit that lies turned is named."""
    step, _ = laid(quilt)
    file, *_ = made(quilt, house.folder.parent, PLAIN)
    engine.open(f"{house.address}{quilt.at}/steps/{quilt.compiled.short[step.id]}/photo")
    engine.choose("#photo-file", file)
    engine.comes("() => !document.querySelector('#photo-work').hidden")
    x, y = engine.comes(WHERE, "[data-corner='0']")
    to = engine.run(MOST_OF_THE_WAY, x, y)
    engine.touch(x, y, to)
    engine.sees("#photo-doubt", "The corners are crossed or too near each other")
    engine.touch(*to, to=(x, y))
    engine.comes("() => document.querySelector('#photo-doubt').hidden")
    engine.tap("#photo-look")
    engine.sees(".photo-says li", "lies a quarter turn too far to the right")


MOST_OF_THE_WAY = """(x, y) => {
    const [from, to] = [0, 2].map((at) => document.querySelector(`[data-corner='${at}']`).getBoundingClientRect());
    return [[x, to.x - from.x], [y, to.y - from.y]].map(([start, way]) => Math.round(start + 0.7 * way));
}"""
"""From the first ring to the one across, so far that the corners cross."""


def prints(engine: Engine, house: House, quilt: Quilt) -> None:
    """The list with every step of it in black, and nothing that is only for the screen."""
    engine.open(f"{house.address}{quilt.at}/steps")
    pages = len(re.findall(rb"/Type\s*/Page\b", engine.paper()))
    assert pages <= 2, "0 where the driver cannot print"
    engine.run("() => document.querySelectorAll('link[media=print]').forEach((each) => { each.media = 'all'; })")
    engine.comes("() => !document.querySelector('.top').getClientRects().length")
    hidden, colours = engine.run(ON_PAPER)
    assert (hidden, colours) == (0, ["rgb(0, 0, 0)"])


ON_PAPER = """() => {
    const steps = [...document.querySelectorAll('.its-steps li')];
    const hidden = steps.filter((each) => !each.getBoundingClientRect().height || !each.checkVisibility()).length;
    const words = [...document.querySelectorAll('main *')].filter((each) => each.offsetParent && !each.closest('svg'));
    return [steps.length ? hidden : 'no steps', [...new Set(words.map((each) => getComputedStyle(each).color))]];
}"""


def says_once_what_it_cannot(engine: Engine, house: House, quilt: Quilt) -> None:
    """No page on a home network may keep the screen awake: told where it went out on a device that is touched, once."""
    engine.open(f"{house.address}{quilt.at}/step")
    engine.tap("[data-opens=hands]")
    engine.sees("#hands .asleep-only", "No page may keep it awake on the home network.")
    assert not engine.run("() => document.querySelector('#hands .awake-only').getClientRects().length")
    engine.tap("#hands [data-closes]")
    for touched in (engine.run("() => matchMedia('(pointer: coarse)').matches"), False):
        engine.run(WENT_OUT)
        assert engine.run("() => !document.querySelector('#hint').hidden") == touched
        if touched:
            engine.tap("#hint button")


WENT_OUT = """() => {
    const [clock, now] = [Date.now, Date.now()];
    for (const [state, time] of [['hidden', now], ['visible', now + 10000]]) {
        Date.now = () => time;
        Object.defineProperty(document, 'visibilityState', { configurable: true, get: () => state });
        document.dispatchEvent(new Event('visibilitychange'));
    }
    Date.now = clock;
}"""

WALKS = (
    is_let_in,
    walks_a_block,
    goes_on_without_the_computer,
    draws_a_quilt,
    measures_a_block,
    looks_at_a_photo,
    prints,
    says_once_what_it_cannot,
)


@pytest.mark.parametrize("name", ENGINES)
def test_an_engine_takes_every_walk(name: str, house: House) -> None:
    try:
        with ENGINES[name](house) as engine:
            take_every_walk(name, engine, house)
    except EngineMissing as missing:
        pytest.fail(str(missing), pytrace=False)


def take_every_walk(name: str, engine: Engine, house: House) -> None:
    sewn = 0 if THOROUGH else SystemRandom().randrange(6, 14)  # of the sample's eighteen works
    quilt = Quilt(Visitor(house.app), begin(house.store, SMALL_PLAN, sewn))
    for walk in WALKS:
        try:
            walk(engine, house, quilt)
        except Exception as fault:
            fault.add_note(f"{name} {walk.__name__.replace('_', ' ')}")
            raise


def test_an_engine_that_is_missing_is_said_in_one_sentence() -> None:
    with pytest.raises(EngineMissing) as missing:
        program("WebKit", "webkit2gtk-driver", "no-such-engine", "/no/such*/engine")
    assert str(missing.value) == (
        "WebKit is missing: install it (on Debian, apt-get install webkit2gtk-driver) and run this again."
    )

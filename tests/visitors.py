"""A sewing room for the tests: a store, its application, and who comes to visit."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from functools import cache
from hashlib import sha256
from pathlib import Path
from types import CodeType
from typing import Any

import pytest
from browser import COOKIE, HOST, PATIENCE, TOKEN, live
from flask import Flask
from flask.testing import FlaskClient
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from planning import replayed
from werkzeug.routing import Rule
from werkzeug.test import TestResponse

from tracker.looks.looking import Looking
from tracker.looks.preview import COMMAND
from tracker.plan.model import RECKONING
from tracker.progress.ledger import Progress
from tracker.safekeeping.pairing import Pairing
from tracker.server.addresses import AddressBook, Interface
from tracker.store.quilts import Store, StoredQuilt
from tracker.web import create_app, desk, static
from tracker.web.opened import Compiled, compile_text

WIFI = Interface("wlan0", "wlan0", ("192.168.1.20",))
LOOPBACK = Interface("lo", "lo", ("127.0.0.1", "::1"))

SMALL_PLAN = """\
title = "Lantern cushion"

[fabrics.S]
name = "pale sand"
tone = 2

[fabrics.R]
name = "lamp red"
tone = 7

[blocks.lantern]
name = "Lantern"
cell = "2"
picture = '''
R\\S  R
R    S\\R
'''

[quilt]
block = "lantern"
across = 2
down = 1
"""
"""Two blocks of two half-square triangles and two squares each."""
RED = "Cut lamp red squares, 2½ in"
"""A step of it, by how its title begins."""


class CompiledOnce(BytecodeCache):
    """Templates as they were compiled for an earlier room of the tests, as long as their text is the same."""

    def __init__(self) -> None:
        self._codes: dict[tuple[str, str], CodeType] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        bucket.code = self._codes.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        assert bucket.code is not None
        self._codes[bucket.key, bucket.checksum] = bucket.code


TEMPLATES = CompiledOnce()


@cache
def compiled_once(text: str) -> Compiled:
    """A plan compiled for all tests and rooms that use it; what is compiled never changes."""
    return compile_text(text)


desk.compile_text = compiled_once
static.load = cache(static.load)


class OnceCompiledRule(Rule):
    """A rule of addresses: all that is made of it alone is dear to make, and the same in every room."""

    def compile(self) -> None:
        of = self.rule, repr(self.defaults)
        if of not in RULES:
            super().compile()
            RULES[of] = {name: vars(self)[name] for name in MADE_OF_A_RULE}
        vars(self).update(RULES[of])


MADE_OF_A_RULE = "arguments", "_parts", "_trace", "_converters", "_build", "_build_unknown"
RULES: dict[tuple[str, str], dict[str, Any]] = {}
Flask.url_rule_class = OnceCompiledRule


LOOKING = Looking(COMMAND)
"""What looks at plans in all rooms of the tests, unless it is said what does."""


def room_of(store: Store, port: int = 8642, pairing: Pairing | None = None, looking: Looking | None = None) -> Flask:
    """The application of a store, on a network of its own, opened under the tests' plain name.

    The tests' device is paired with it, unless it is said who is.
    """
    book = AddressBook(port, None, [HOST], look=lambda: (LOOPBACK, WIFI))
    room = create_app(store, book, pairing or paired(store), looking or LOOKING)
    room.jinja_env.bytecode_cache = TEMPLATES
    room.extensions["sewing-room"].cards.patience = PATIENCE
    return room


def paired(store: Store) -> Pairing:
    """Who may into this store's room: the tests' device."""
    hashed, now = sha256(TOKEN.encode()).hexdigest(), datetime.now().isoformat(timespec="minutes")
    device = {"name": "Phone", "hash": hashed, "since": now[:10], "seen": now}
    others = store.room.about.get("devices", {})
    if "tested" not in others:
        name = store.room.about.get("name") or COOKIE.removeprefix("sewing-room-")
        store.room.set_about(name=name, devices=others | {"tested": device})
    return Pairing(store.room)


def add_quilt(store: Store, plan: str = SMALL_PLAN, **about: Any) -> StoredQuilt:
    title = re.search(r'^title = "(.*)"', plan, re.MULTILINE)
    facts = {"title": title.group(1) if title else "", "plan": plan, "demo": False, "made_at": "2026-11-25T09:00:00"}
    return store.add({**facts, "reckoning": RECKONING} | about)


class Visitor:
    """Someone with a browser without script, at `address`, asking as browsers do; the device is paired, or not."""

    def __init__(
        self, app: Flask, host: str = f"{HOST}:8642", address: str = "192.168.1.30", paired: bool = True
    ) -> None:
        self.client: FlaskClient = app.test_client()
        self.host = host
        self.address = address
        if paired:
            name = host.rpartition(":")[0].strip("[]") or "localhost"
            self.client.set_cookie(COOKIE, TOKEN, domain=name)

    def _headers(self, more: dict[str, str]) -> dict[str, str]:
        return {"Host": self.host, **more}

    def get(self, path: str, **headers: str) -> TestResponse:
        given = self._headers({name.replace("_", "-"): value for name, value in headers.items()})
        return self.client.get(path, headers=given, environ_base={"REMOTE_ADDR": self.address})

    def post(self, path: str, data: dict[str, Any], **headers: str) -> TestResponse:
        given = {"Origin": f"http://{self.host}"} | {name.replace("_", "-"): value for name, value in headers.items()}
        answer = self.client.post(
            path, data=data, headers=self._headers(given), environ_base={"REMOTE_ADDR": self.address}
        )
        answer.request.environ["wsgi.input"].close()  # a large form lies in a file
        return answer

    def text(self, path: str) -> str:
        """The page at `path` as a reader has it: no markup, single blanks."""
        answer = self.get(path)
        assert answer.status_code == 200, (path, answer.status_code)
        return words_of(answer)


def words_of(answer: TestResponse) -> str:
    """What an answer says: no markup, single blanks."""
    page = re.sub(r"<(head|svg)\b.*?</\1>", " ", answer.get_data(as_text=True), flags=re.DOTALL)
    plain = re.sub(r"<[^>]*>", " ", page)
    for mark, sign in (("&#34;", '"'), ("&#39;", "'"), ("&lt;", "<"), ("&gt;", ">"), ("&amp;", "&")):
        plain = plain.replace(mark, sign)
    return " ".join(plain.split())


@contextmanager
def open_room(folder: Path) -> Iterator[tuple[Store, str]]:
    """A store in a folder, served on a socket of its own: the store, and the address without a path."""
    with Store.open(folder) as store, live(lambda port: room_of(store, port)) as address:
        yield store, address


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An empty store."""
    with Store.open(tmp_path / "data") as opened:
        yield opened


@pytest.fixture
def room(store: Store) -> Flask:
    """The application of `store`."""
    return room_of(store)


@pytest.fixture
def phone(room: Flask) -> Visitor:
    """Someone at home, not at the computer itself."""
    return Visitor(room)


@pytest.fixture
def computer(room: Flask) -> Visitor:
    """Someone at the computer itself."""
    return Visitor(room, "localhost:8642", "127.0.0.1")


@pytest.fixture
def quilt(store: Store) -> StoredQuilt:
    """The small quilt, not begun."""
    return add_quilt(store)


class Quilt:
    """A quilt seen through the pages: its steps by title, and taps."""

    def __init__(self, visitor: Visitor, quilt: StoredQuilt) -> None:
        self.visitor, self.stored = visitor, quilt
        self.at = f"/quilts/{quilt.id}"
        self.compiled = compiled_once(quilt.about["plan"])
        self._taps = 0

    def short(self, title: str) -> str:
        """The short name of the first step whose title begins so."""
        found = next(step for step, words in self.compiled.titles.items() if words.startswith(title))
        return self.compiled.short[found]

    def step_path(self, title: str) -> str:
        return f"{self.at}/steps/{self.short(title)}"

    def tap(self, title: str, times: object = 1, tap_id: str = "", **more: str) -> TestResponse:
        """Tap a step as its page's form does."""
        self._taps += 1
        data = {"tap": tap_id or f"test-tap-{self._taps}", "do": "done", "step": self.short(title), "times": times}
        return self.visitor.post(f"{self.at}/taps", data | more)

    def do(self, what: str, of: str, **more: Any) -> TestResponse:
        """Take back or settle a tap."""
        self._taps += 1
        data = {"tap": f"test-tap-{self._taps}", "do": what, "what": of}
        return self.visitor.post(f"{self.at}/taps", data | more)

    def count(self, title: str) -> str:
        """What the step's page says is done, as `2 of 8 done, 6 ready`."""
        found = re.search(r"\d+ of \d+ done(, \d+ ready)?", self.visitor.text(self.step_path(title)))
        assert found is not None
        return found.group()

    def progress(self) -> Progress:
        """The counts as a fresh start would find them on the disk."""
        return replayed(self.compiled.plan, self.compiled.checklist, self.stored.taps)


@pytest.fixture
def sewing(phone: Visitor, quilt: StoredQuilt) -> Quilt:
    """The small quilt in the hands of someone with a phone."""
    return Quilt(phone, quilt)

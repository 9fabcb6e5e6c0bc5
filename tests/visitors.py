"""A sewing room for the tests: a store, its application, and who comes to visit."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from browser import HOST, live
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tracker.network import AddressBook, Interface
from tracker.store import Store, StoredQuilt
from tracker.web import create_app

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
R    R/S
'''

[quilt]
block = "lantern"
across = 2
"""
"""Two blocks of two half-square triangles and two squares each."""


def room_of(store: Store, port: int = 8642, **more: Any) -> Flask:
    """The application of a store, on a network of its own, opened under the tests' plain name."""
    book = AddressBook(port, None, [HOST], look=lambda: (LOOPBACK, WIFI))
    return create_app(store, book, **more)


def add_quilt(store: Store, plan: str = SMALL_PLAN, **about: Any) -> StoredQuilt:
    title = re.search(r'^title = "(.*)"', plan, re.MULTILINE)
    facts = {"title": title.group(1) if title else "", "plan": plan, "demo": False, "made_at": "2026-11-25T09:00:00"}
    return store.add(facts | about)


class Visitor:
    """Someone with a browser without script, at `address`, asking as browsers do."""

    def __init__(self, app: Flask, host: str = f"{HOST}:8642", address: str = "192.168.1.30") -> None:
        self.client: FlaskClient = app.test_client()
        self.host = host
        self.address = address

    def _headers(self, more: dict[str, str]) -> dict[str, str]:
        return {"Host": self.host, **more}

    def get(self, path: str, **headers: str) -> TestResponse:
        given = self._headers({name.replace("_", "-"): value for name, value in headers.items()})
        return self.client.get(path, headers=given, environ_base={"REMOTE_ADDR": self.address})

    def post(self, path: str, data: dict[str, Any], **headers: str) -> TestResponse:
        given = {"Origin": f"http://{self.host}"} | {name.replace("_", "-"): value for name, value in headers.items()}
        return self.client.post(
            path, data=data, headers=self._headers(given), environ_base={"REMOTE_ADDR": self.address}
        )

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

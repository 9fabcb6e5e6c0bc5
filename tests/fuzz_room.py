"""Spoiled plans and spoiled requests: each answered in time and in plain sentences; what is refused changes nothing.

    python tests/fuzz_room.py --plans 100000 --requests 20000

Plans are whole ones with letters, lines, numbers and signs changed. Requests go through the socket of a running room:
every address that it has, with right and wrong values, methods, hosts, origins and cookies, then bytes changed.
"""

from __future__ import annotations

import argparse
import socket
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import quote, urlencode

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from browser import COOKIE, HOST, TOKEN
from house import House
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from visitors import SMALL_PLAN, add_quilt, room_of
from working import counted_work

from tracker.looks.preview import PlanFault
from tracker.web.opened import compile_text

FILES = sorted((Path(__file__).parent / "plans").glob("*/*.toml"))
PLANS = [SMALL_PLAN, *(path.read_bytes().decode("utf-8", "replace") for path in FILES if path.stat().st_size < 20_000)]
SIGNS = ["", "'", '"', "'''", '"""', "[", "]", "[[", "{", "}", "=", "\\", "/", ":", "<", "^", "#", ",", ".", "-", "\n"]
ODD = [
    *(
        "0",
        "-1",
        "1e9",
        "1.5",
        "nan",
        "inf",
        "99999999999999999999",
        "1/0",
        "1/3",
        "0x10",
        "½",
        "٣",
        "10001",
        "64",
        "65",
    ),
    *(
        "\x00",
        "\ufeff",
        "\u2028",
        "\x1b[2J",
        "\ud7ff",
        "é",
        "S",
        "R\\S",
        "S/R",
        "S:R:S:R",
        "true",
        "[[[[",
        "title",
        "quilt",
    ),
]
MOST_WORK = 40_000_000
"""Lines of Python that run until a plan is read and made or refused: two seconds of an idle core."""


@dataclass
class Result:
    """What came of all of them."""

    plans: Counter[str] = field(default_factory=Counter)
    requests: Counter[str] = field(default_factory=Counter)
    most_work: int = 0

    def __str__(self) -> str:
        plans, requests = dict(sorted(self.plans.items())), dict(sorted(self.requests.items()))
        return f"plans {plans}, most work {self.most_work:,} lines; requests by status {requests}"


def calm(examples: int) -> settings:
    return settings(
        max_examples=examples,
        deadline=None,
        database=None,
        phases=[Phase.generate, Phase.shrink],
        suppress_health_check=list(HealthCheck),
    )


# Plans


@st.composite
def spoiled_plans(draw: st.DrawFn) -> str:
    """A plan with one to four places changed."""
    text = draw(st.sampled_from(PLANS))
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, max(0, len(text) - 1)))
        match draw(st.sampled_from(("sign", "odd", "cut", "line", "twice", "swap", "digit", "end"))):
            case "sign":
                text = text[:at] + draw(st.sampled_from(SIGNS)) + text[at + 1 :]
            case "odd":
                text = text[:at] + draw(st.sampled_from(ODD)) + text[at:]
            case "cut":
                text = text[:at] + text[at + draw(st.integers(1, 30)) :]
            case "line":
                lines = text.split("\n")
                del lines[at % len(lines)]
                text = "\n".join(lines)
            case "twice":
                lines = text.split("\n")
                lines.insert(at % len(lines), lines[draw(st.integers(0, len(lines) - 1))])
                text = "\n".join(lines)
            case "swap":
                lines = text.split("\n")
                other = draw(st.integers(0, len(lines) - 1))
                lines[at % len(lines)], lines[other] = lines[other], lines[at % len(lines)]
                text = "\n".join(lines)
            case "digit":
                digits = [place for place, sign in enumerate(text) if sign.isdigit()]
                if digits:
                    place = digits[at % len(digits)]
                    text = text[:place] + draw(st.sampled_from(ODD)) + text[place + 1 :]
            case "end":
                text = text[:at]
    return text


def refusals(text: str) -> tuple[str, ...]:
    """The sentences that refuse a plan; none where it can be sewn."""
    try:
        compile_text(text)
    except PlanFault as fault:
        return fault.sentences or ("",)
    return ()


def fuzz_plans(examples: int, result: Result) -> None:
    """Read so many spoiled plans."""

    @calm(examples)
    @given(spoiled_plans())
    def one(text: str) -> None:
        with counted_work() as lines:
            said = refusals(text)
        result.plans["refused" if said else "can be sewn"] += 1
        for sentence in said:
            assert sentence.strip() == sentence != ""
            assert sentence.endswith((".", "?", ")")), sentence
            assert "\n" not in sentence
            assert "Traceback" not in sentence
        result.most_work = max(result.most_work, lines[0])
        assert lines[0] < MOST_WORK

    one()


# Requests

FIELDS = (
    *("tap", "do", "step", "times", "blocks", "offered", "what", "text", "block", "pile", "view", "then", "chain"),
    *("plan", "wanted", "title", "code", "name", "seen", "quilt", "away", "batch", "sample", "middle", "with", "file"),
)
DOES = (
    "done",
    "take back",
    "settle",
    "put back",
    "spoiled",
    "opened",
    "not done",
    "spoiled within",
    "block spoiled",
    "stage",
    "name",
    "note",
    "counted",
    "look",
    "make",
)


@dataclass(frozen=True)
class Asked:
    """A request as it goes over the line, and whether it could be allowed to change something."""

    raw: bytes
    may_change: bool


@st.composite
def spoiled_requests(draw: st.DrawFn, rules: list[tuple[str, list[str]]], words: list[str], port: int) -> Asked:
    """Any address of the room, with right and wrong values."""
    rule, methods = draw(st.sampled_from(rules))
    value = st.one_of(st.sampled_from(words), st.sampled_from(ODD), st.text(max_size=12))
    path = "/".join(quote(draw(value), safe="") if part.startswith("<") else part for part in rule.split("/"))
    if draw(st.booleans()):
        query = {name: draw(value) for name in draw(st.lists(st.sampled_from((*FIELDS, "since", "v", "from", "at"))))}
        path += f"?{urlencode(query)}"
    method = draw(st.sampled_from((*methods, *methods, "GET", "POST", "HEAD", "PUT", "DELETE", "OPTIONS", "X")))
    fields = draw(st.lists(st.sampled_from(FIELDS), max_size=8))
    form = {name: draw(st.sampled_from(DOES) if name == "do" else value) for name in fields}
    body = urlencode(form).encode() if method != "GET" else b""
    kind = draw(st.sampled_from(("application/x-www-form-urlencoded",) * 4 + ("multipart/form-data; boundary=x", "x")))
    at = f"{HOST}:{port}"
    host = draw(st.sampled_from((at,) * 9 + ("evil.example", "")))
    origin = draw(st.sampled_from((f"http://{at}",) * 9 + ("http://evil.example", "null", "")))
    cookie = draw(
        st.sampled_from(
            (f"{COOKIE}={TOKEN}",) * 9 + (f"{COOKIE}=x", "", "quilt=\x00", "=;=;", f"x=\xff; {COOKIE}={TOKEN}")
        )
    )
    part = draw(st.sampled_from(("", "", "partial")))
    named = {"Host": host, "Origin": origin, "Cookie": cookie, "Content-Type": kind, "HX-Request-Type": part}
    head = [f"{method} {path} HTTP/1.1", *(f"{name}: {told}" for name, told in named.items() if told)]
    raw = "\r\n".join([*head, f"Content-Length: {len(body)}", "Connection: close", "", ""]).encode("latin-1", "replace")
    whole, spoiled = raw + body, False
    for _ in range(draw(st.sampled_from((0, 0, 0, 1, 3)))):
        place, spoiled = draw(st.integers(0, len(whole))), True
        whole = whole[:place] + draw(st.binary(max_size=4)) + whole[place + draw(st.integers(0, 4)) :]
    allowed = host == at and origin == f"http://{at}" and TOKEN in cookie
    return Asked(whole, method == "POST" and (allowed or spoiled))


def fuzz_requests(examples: int, folder: Path, result: Result) -> None:
    """Send so many spoiled requests to a room in this folder."""
    house = House(folder)
    try:
        quilts = [add_quilt(house.store) for _ in range(3)]
        app = room_of(house.store)
        rules = [(rule.rule, sorted(rule.methods or ())) for rule in app.url_map.iter_rules()]
        compiled = house.quilts()[0].compiled
        words = [*(quilt.id for quilt in quilts), *compiled.short.values(), *compiled.checklist.piles, SMALL_PLAN]
        words += ["1", "2", "tap-12345678", "blocks", "list", "b1", "room.css", house.ask("GET", "/")[1][:3]]

        @calm(examples)
        @given(spoiled_requests(rules, words, house.port))
        def one(asked: Asked) -> None:
            for gone in house.store.deleted():
                if len(house.store.quilts()) < 3:
                    house.store.restore_deleted(gone.id)
            before = _versions(house)
            status = _answer(house, asked.raw)
            result.requests[status] += 1
            assert status != "500", asked.raw
            if status[0] in "45n" or not asked.may_change:
                assert _versions(house) == before, asked.raw

        one()
        assert house.ask("GET", "/")[0] == 200
    finally:
        house.stop()


def _versions(house: House) -> tuple[object, ...]:
    """Changes with everything that is written to the disk."""
    deleted = sorted(path.name for path in (house.folder / "deleted").iterdir())
    return house.store.room.version, [(quilt.id, quilt.version) for quilt in house.store.quilts()], deleted


def _answer(house: House, raw: bytes) -> str:
    """The status of an answer, or "none" where the line was closed; a hang is an error."""
    answer = b""
    with socket.create_connection(("127.0.0.1", house.port), 10) as line:
        try:
            line.sendall(raw)
            line.shutdown(socket.SHUT_WR)
            while more := line.recv(65536):
                answer += more
        except ConnectionError:
            pass
    assert b"Traceback" not in answer
    return answer.split(b" ", 2)[1].decode() if answer.startswith(b"HTTP/1.") else "none"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--plans", type=int, default=100_000)
    parser.add_argument("--requests", type=int, default=20_000)
    wanted = parser.parse_args()
    result = Result()
    if wanted.plans:
        fuzz_plans(wanted.plans, result)
    if wanted.requests:
        with tempfile.TemporaryDirectory() as folder:
            fuzz_requests(wanted.requests, Path(folder) / "data", result)
    print(result)
    return 0


if __name__ == "__main__":
    sys.exit(main())

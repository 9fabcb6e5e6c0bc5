"""The log that can be sent: what happened, and nothing that should stay at home."""

from __future__ import annotations

import logging
import re
from pathlib import Path

import pytest
from visitors import Quilt, Visitor, add_quilt, paired, room_of

from tracker.safekeeping import logbook
from tracker.store.quilts import Store
from tracker.web.desk import Desk


def written(folder: Path) -> str:
    return logbook.to_be_sent(folder).decode("utf-8")


def test_it_says_what_happened_without_secrets_plans_names_or_folders(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "data"
    with logbook.kept(folder), Store.open(folder) as store:
        quilt = Quilt(Visitor(room_of(store)), add_quilt(store))
        stranger = Visitor(quilt.visitor.client.application, paired=False)
        pairing = paired(store)
        stranger.get(f"{quilt.at}/steps")
        stranger.get(f"{pairing.path}/x?y")
        stranger.post("/pair", {"code": "guess"})
        stranger.post("/pair", {"code": pairing.code, "name": "Großmutter's phone"})
        stranger.get("/", Host="evil.example")
        quilt.visitor.post("/new", {}, Origin="http://evil.example")
        (folder / f"{quilt.stored.id}.quilt").unlink()
        quilt.tap("Cut lamp red")

        def fail(self: Desk, quilt_id: str) -> None:
            raise ValueError(f"cannot read {quilt.compiled.text} in {folder}")

        monkeypatch.setattr(Desk, "quilt", fail)
        quilt.visitor.get(quilt.at)
    said = written(folder)
    for words in (
        "refused: GET /quilts/<quilt_id>/steps from 192.168.1.30, not paired",
        "a wrong pairing code from 192.168.1.30",
        "was let in, from 192.168.1.30",
        "refused: a foreign Host",
        "refused: a foreign Origin",
        f"found on the disk: {quilt.stored.id}.quilt written again",
        "GET /quilts/<quilt_id>\n  ValueError\n",
        "test_logbook.py",
    ):
        assert words in said, said
    for secret in (pairing.code.replace(" ", ""), "guess", "Großmutter", "Lantern", "lamp red", "cannot read", "evil"):
        assert secret not in said, secret
    assert str(tmp_path) not in said
    dated = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d:\d\d [A-Z]+ |  ")
    assert [line for line in said.splitlines() if not dated.match(line)] == ["", "Refused:"]


def test_a_line_stays_one_line_and_short(tmp_path: Path) -> None:
    with logbook.kept(tmp_path):
        logging.getLogger("tracker.test").info("a\nb\x1b[2J %s /pair/abcdefghjkmn?x", "c" * 5000)
    (line,) = written(tmp_path).splitlines()
    assert len(line) < 500
    assert "a�b�[2J" in line


def test_it_turns_over_and_one_guest_cannot_fill_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    log = logging.getLogger("tracker.test")
    with logbook.kept(tmp_path):
        for number in range(500):
            log.info("refused %s", number)
        log.warning("not done: the disk is full")
    lines = written(tmp_path).splitlines()
    assert len(lines) <= 2 * logbook.MOST_A_MINUTE + 1
    assert lines[-1].endswith("not done: the disk is full")
    monkeypatch.setattr(logbook, "LARGEST", 2000)
    with logbook.kept(tmp_path):
        for number in range(500):
            log.warning("fault %s", number)
    files = sorted((tmp_path / "log").glob("sewing-room*"))
    assert len(files) == 1 + logbook.FORMER
    assert all(path.stat().st_size <= 2000 for path in files[:-1])


def test_who_is_refused_pushes_nothing_out_of_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A stranger who asks without end, day after day, in every way that is logged."""
    folder = tmp_path / "data"
    minute = 0
    monkeypatch.setattr(logbook.time, "monotonic", lambda: minute * 60)
    monkeypatch.setattr(logbook, "LARGEST", 8_000)
    with logbook.kept(folder), Store.open(folder) as store:
        pairing = paired(store)
        stranger = Visitor(room_of(store, pairing=pairing), paired=False)
        logging.getLogger("tracker.cli").info("opened")
        for minute in range(40):
            for _ in range(logbook.MOST_A_MINUTE // 3 + 1):
                stranger.get("/")
                stranger.get("/", Host="evil.example")
                stranger.post("/pair", {"code": "guess"})
            if minute % 10 == 0:
                pairing.pair(pairing.code, "Tablet", "192.168.1.40")
    main = logbook.log_file(folder).read_text("utf-8")
    assert "opened" in main
    assert main.count("was let in, from 192.168.1.40") == 4
    assert "refused" not in main
    assert "wrong" not in main
    files = [path.stat().st_size for path in (folder / "log").glob("refused*")]
    assert len(files) == 2
    assert max(files) <= 2_000
    assert "refused: " in written(folder)


def test_a_log_that_cannot_be_written_stops_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "log").write_text("a file where the folder should be")
    for folder in (tmp_path, tmp_path / "not there"):
        with logbook.kept(folder):
            logging.getLogger("tracker.test").warning("hello")
    assert capsys.readouterr() == ("", "")
    assert not (tmp_path / "not there").exists()


def test_serving_without_a_log_leaves_the_loggers_as_they_were(tmp_path: Path) -> None:
    log = logging.getLogger("tracker")
    before = (log.level, list(log.handlers))
    with logbook.kept(tmp_path):
        assert len(log.handlers) == len(before[1]) + 2
    assert (log.level, log.handlers) == before

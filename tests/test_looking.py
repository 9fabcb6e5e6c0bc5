"""Looks in processes of their own: the newest of each page, the same text once, none for ever, and taps never wait."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import lookers
import pytest
from browser import PATIENCE
from house import House
from visitors import SMALL_PLAN

from tracker.looks import looking as looking_module
from tracker.looks.looker import read_frame, write_frame
from tracker.looks.looking import BROKEN, DONE, PLACES, TOO_LONG, UNDER_WAY, Found, Looking
from tracker.server.lanes import THREADS


@pytest.fixture
def alone(monkeypatch: pytest.MonkeyPatch) -> Iterator[Looking]:
    """One process, which looks as the test says, on a machine so busy that to start it may take a while."""
    for name in ("PATIENCE", "GRACE"):
        monkeypatch.setattr(looking_module, name, PATIENCE // 1000)
    found = Looking(lookers.COMMAND, processes=1, budget=PATIENCE // 1000)
    yield found
    found.close()


def comes(true: Callable[[], bool]) -> None:
    """Wait until something is true."""
    for _ in range(PATIENCE // 10):
        if true():
            return
        threading.Event().wait(0.01)
    raise AssertionError("never came")


def begun(file: Path) -> None:
    """Wait until a look has left its mark."""
    comes(lambda: file.exists() and file.read_text() != "")


def said(looking: Looking, asker: str, text: str) -> int:
    """Which process answers."""
    found = looking.look(asker, "say", text, PATIENCE)
    assert (found.state, found.answer["text"]) == (DONE, text)
    return int(found.answer["process"])


def test_a_newer_look_of_the_same_page_takes_the_place_of_the_older_in_the_same_process(
    alone: Looking, tmp_path: Path
) -> None:
    first = said(alone, "her", "first")
    for number in range(3):
        file = tmp_path / str(number)
        assert alone.look("her", "marked_never", str(file)) == Found(UNDER_WAY)
        begun(file)
        assert said(alone, "her", f"after {number}") == first


def test_what_waits_for_its_turn_is_dropped_when_its_page_asks_for_something_newer(
    alone: Looking, tmp_path: Path
) -> None:
    alone.look("other", "marked_never", str(tmp_path / "busy"))
    begun(tmp_path / "busy")
    alone.look("her", "mark", str(tmp_path / "older"))
    alone.look("her", "mark", str(tmp_path / "newer"))
    said(alone, "other", "ready")
    said(alone, "third", "done")
    assert (tmp_path / "newer").exists()
    assert not (tmp_path / "older").exists()


def test_the_same_text_is_looked_at_once_for_all_pages_and_for_both_works_apart(alone: Looking, tmp_path: Path) -> None:
    file = tmp_path / "looks"
    for asker in ("her", "her", "other"):
        assert alone.look(asker, "mark", str(file), PATIENCE).state == DONE
    assert file.read_text() == "x"
    alone.look("her", "say", str(file), PATIENCE)
    assert alone.look("other", "mark", str(file)).state == DONE


def test_a_look_that_another_page_waits_for_goes_on(alone: Looking, tmp_path: Path) -> None:
    file = tmp_path / "looks"
    for asker in ("her", "other"):
        alone.look(asker, "marked_never", str(file))
    begun(file)
    alone.look("her", "say", "else")
    assert alone.look("other", "marked_never", str(file)).state == UNDER_WAY
    said(alone, "other", "at last")
    assert file.read_text() == "x"


def test_a_look_that_nobody_asks_for_any_more_is_given_up(
    alone: Looking, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patched:
        patched.setattr(looking_module, "PATIENCE", 0)
        alone.look("gone", "marked_never", str(tmp_path / "busy"))
    said(alone, "her", "mine")


def test_a_process_that_does_not_give_up_is_ended(alone: Looking, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(looking_module, "GRACE", 0)
    first = said(alone, "her", "first")
    alone.look("her", "stubborn", "")
    assert said(alone, "her", "second") != first


def test_what_takes_too_long_is_said_so_and_not_begun_again(alone: Looking) -> None:
    first = said(alone, "her", "first")
    comes(lambda: alone.look("her", "never", "a") == Found(UNDER_WAY, {"text": "a"}))
    alone.budget = 0
    assert alone.look("her", "never", "a", PATIENCE) == Found(TOO_LONG, {"text": "a"}), "with what was found by then"
    assert alone.look("other", "never", "a").state == TOO_LONG
    alone.budget = PATIENCE // 1000
    assert said(alone, "her", "smaller") == first


@pytest.mark.parametrize("work", ["die", "fail", "no such work"])
def test_a_look_that_breaks_is_said_so_and_the_next_is_well(work: str, alone: Looking) -> None:
    assert alone.look("her", work, "", PATIENCE).state == BROKEN
    said(alone, "her", "next")


def test_what_ends_with_the_server_is_told_as_no_fault(
    alone: Looking, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    alone.look("her", "die", "", PATIENCE)
    assert "broke off" in caplog.text
    caplog.clear()
    alone.look("her", "marked_never", str(tmp_path / "busy"))
    begun(tmp_path / "busy")
    alone.close()
    assert alone.look("her", "marked_never", str(tmp_path / "busy"), PATIENCE).state == BROKEN
    assert alone.look("her", "say", "afterwards", PATIENCE).state == BROKEN
    assert caplog.text == ""


def test_a_process_that_starts_while_all_are_closed_is_ended_too(
    alone: Looking, monkeypatch: pytest.MonkeyPatch
) -> None:
    started: list[subprocess.Popen[bytes]] = []
    start = subprocess.Popen

    def closed_meanwhile(*command: Any, **how: Any) -> subprocess.Popen[bytes]:
        started.append(start(*command, **how))
        alone.close()
        return started[-1]

    monkeypatch.setattr(subprocess, "Popen", closed_meanwhile)
    assert alone.look("her", "never", "", PATIENCE).state == BROKEN
    assert [process.returncode is not None for process in started] == [True]


def test_what_is_found_first_can_be_seen_while_the_rest_is_worked_on(alone: Looking) -> None:
    comes(lambda: alone.look("her", "never", "a") == Found(UNDER_WAY, {"text": "a"}))


def test_where_no_process_can_be_started_that_is_said(tmp_path: Path) -> None:
    looking = Looking([str(tmp_path / "nothing there")])
    looking.warm()
    assert looking.look("her", "say", "", PATIENCE).state == BROKEN


def test_only_so_many_are_kept_waiting(alone: Looking) -> None:
    waiting = [
        threading.Thread(target=alone.look, args=(f"asker {number}", "never", "", PATIENCE), daemon=True)
        for number in range(PLACES)
    ]
    for thread in waiting:
        thread.start()
    comes(lambda: not alone.places_free)
    assert alone.look("one more", "never", "", 1000 * PATIENCE).state == UNDER_WAY
    assert PLACES < THREADS // 2
    for number in range(PLACES):
        alone.look(f"asker {number}", "say", "")
    for thread in waiting:
        thread.join()


def looker() -> subprocess.Popen[bytes]:
    found = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    return subprocess.Popen(lookers.COMMAND, stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=found)


def test_its_process_ends_in_the_midst_of_its_work_when_the_server_is_gone(tmp_path: Path) -> None:
    with looker() as process:
        assert process.stdin is not None
        write_frame(process.stdin, {"number": 1, "do": "marked_never", "text": str(tmp_path / "begun")})
        begun(tmp_path / "begun")
        process.stdin.close()
        assert process.wait(PATIENCE / 1000) == 0


def test_giving_up_what_is_done_already_hits_nothing_else(tmp_path: Path) -> None:
    with looker() as process:
        assert process.stdin is not None
        assert process.stdout is not None
        for number in range(1, 60):
            write_frame(process.stdin, {"give up": number - 1})
            write_frame(process.stdin, {"number": number, "do": "say", "text": "x" * number})
            frames = [read_frame(process.stdout) for _ in range(2)]
            assert [frame and frame["number"] for frame in frames] == [number, number]
            assert [frame and frame.get("so far", {}).get("text") for frame in frames] == ["x" * number, None]
        process.stdin.close()


# On a socket


def test_looks_that_never_end_do_not_keep_a_tap_waiting(busy_house: House) -> None:
    quilt = busy_house.quilt()
    step = quilt.short("Cut lamp red squares, 2½ in")
    asked = threading.Barrier(13, timeout=5 * PATIENCE / 1000)
    stop = threading.Event()

    def keep_looking(number: int) -> None:
        form = {"plan": f"{SMALL_PLAN}{lookers.ENDLESS} {number}\n", "looker": f"looker{number}"}
        with suppress(OSError, threading.BrokenBarrierError):
            busy_house.ask("POST", "/new/look", urlencode(form))
            asked.wait()
            while not stop.is_set():
                busy_house.ask("POST", "/new/look", urlencode(form | {"again": "yes"}))

    threads = [threading.Thread(target=keep_looking, args=(number,)) for number in range(12)]
    for thread in threads:
        thread.start()
    try:
        asked.wait()  # all twelve are asked for, and go on being asked for
        for number in range(4):
            form = {"tap": f"tap-{number:08}", "do": "done", "step": step, "times": 1, "view": f"step:{step}"}
            assert busy_house.ask("POST", f"{quilt.at}/taps", urlencode(form))[0] == 200
        answer = busy_house.ask("POST", "/new/look", urlencode({"plan": SMALL_PLAN, "looker": "looker0"}))
        assert answer[0] == 200
    finally:
        stop.set()
        for thread in threads:
            thread.join()
    assert len(busy_house.quilt().stored.taps) == 4

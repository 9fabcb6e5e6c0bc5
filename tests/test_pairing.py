"""Who may in: the code, devices, guessing; on the disk and over a restart."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from tracker.safekeeping.pairing import MOST_DEVICES, Pairing
from tracker.safekeeping.secret_codes import NotPaired
from tracker.store.quilts import Store, StoreFault

PHONE = "192.168.1.30"


class Times:
    """A wall clock and a steady one, set by the test."""

    def __init__(self) -> None:
        self.now, self.seconds = datetime(2026, 11, 25, 14, 5), 1000

    def pairing(self, store: Store) -> Pairing:
        return Pairing(store.room, lambda: self.now, lambda: self.seconds)


@pytest.fixture
def times() -> Times:
    return Times()


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "data") as opened:
        yield opened


def test_the_code_is_long_kept_over_a_restart_and_needs_no_letter_that_is_misread(store: Store, times: Times) -> None:
    pairing = times.pairing(store)
    code = pairing.path.removeprefix("/pair/")
    assert len(code) == 12
    assert not set(code) & set("aeiou01l")
    assert pairing.code.replace(" ", "") == code
    assert times.pairing(store).path == pairing.path
    other = pairing.path
    pairing.renew()
    assert pairing.path != other
    assert times.pairing(store).path == pairing.path


def test_a_device_that_shows_the_code_is_known_by_its_token_over_a_restart(store: Store, times: Times) -> None:
    pairing = times.pairing(store)
    token = pairing.pair(pairing.code.upper(), "  Anna's \n phone\x00 ", PHONE)
    for again in (pairing, times.pairing(store)):
        known = again.greet(token)
        assert known is not None
        device, first_today = known
        assert (device.name, device.since, device.seen) == ("Anna's phone", "2026-11-25", "2026-11-25T14:05")
        assert not first_today
    assert all(pairing.greet(stranger) is None for stranger in ("", token[:-1], token + "x", "x" * 10_000, "\udcff"))
    written = b"".join(path.read_bytes() for path in store.folder.rglob("*") if path.is_file())
    assert token.encode() not in written, "of a token only the hash is kept"


def test_when_a_device_was_last_seen_is_written_once_a_day(store: Store, times: Times) -> None:
    pairing = times.pairing(store)
    token = pairing.pair(pairing.code, "Phone", PHONE)
    version = store.room.version
    times.now = datetime(2026, 11, 25, 23, 59)
    assert pairing.greet(token) is not None
    assert store.room.version == version
    assert pairing.devices()[0].seen == "2026-11-25T23:59"
    times.now = datetime(2026, 11, 26, 0, 1)
    greeted = [pairing.greet(token) for _ in range(3)]
    assert [known and known[1] for known in greeted] == [True, False, False]
    assert store.room.version == version + 1
    assert times.pairing(store).devices()[0].seen == "2026-11-26T00:01"


def test_being_seen_works_on_a_full_disk_and_being_removed_does_not_pretend_to(
    store: Store, times: Times, monkeypatch: pytest.MonkeyPatch
) -> None:
    pairing = times.pairing(store)
    token = pairing.pair(pairing.code, "Phone", PHONE)
    times.now = datetime(2026, 11, 27, 9, 0)

    def full(descriptor: int, data: bytes) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, "write", full)
        known = pairing.greet(token)
        assert known is not None
        with pytest.raises(StoreFault):
            pairing.remove(known[0].id)
        with pytest.raises(StoreFault):
            pairing.renew()
        with pytest.raises(StoreFault):
            pairing.pair(pairing.code, "Tablet", PHONE)
    assert pairing.greet(token) is not None
    assert [device.name for device in pairing.devices()] == ["Phone"]
    assert times.pairing(store).path == pairing.path


def test_a_removed_device_is_a_stranger_at_once_and_over_a_restart(store: Store, times: Times) -> None:
    pairing = times.pairing(store)
    first, second = (pairing.pair(pairing.code, "Phone", PHONE) for _ in range(2))
    assert sorted(device.name for device in pairing.devices()) == ["Phone", "Phone 2"]
    known = pairing.greet(first)
    assert known is not None
    pairing.remove(known[0].id)
    pairing.remove("nobody")
    for again in (pairing, times.pairing(store)):
        assert again.greet(first) is None
        assert again.greet(second) is not None


def test_a_renewed_code_pairs_nobody_with_the_old_one_and_leaves_devices_in(store: Store, times: Times) -> None:
    pairing = times.pairing(store)
    token, old = pairing.pair(pairing.code, "Phone", PHONE), pairing.code
    pairing.renew()
    with pytest.raises(NotPaired, match="not \\(or no longer\\) the right one"):
        pairing.pair(old, "Tablet", PHONE)
    assert pairing.greet(token) is not None


@pytest.mark.parametrize("code", ["", "k3f9", "\x00", "é" * 12, "\udcff", "x" * 100_000])
def test_a_wrong_code_pairs_nobody(code: str, store: Store, times: Times) -> None:
    with pytest.raises(NotPaired):
        times.pairing(store).pair(code, "Phone", PHONE)


def test_guessing_is_slowed_for_one_address_and_then_for_all(store: Store, times: Times) -> None:
    pairing = times.pairing(store)

    def guess(address: str, code: str = "wrong") -> int:
        try:
            pairing.check(code, address)
        except NotPaired as fault:
            return fault.wait
        return -1

    assert [guess(PHONE) for _ in range(5)] == [0] * 5
    assert guess(PHONE) == guess(PHONE, pairing.code) == 60, "neither a wrong nor the right code is looked at"
    assert guess("192.168.1.31", pairing.code) == -1, "others are not held up"
    times.seconds += 59
    assert guess(PHONE, pairing.code) == 1
    times.seconds += 1
    assert guess(PHONE, pairing.code) == -1
    looked_at = sum(guess(f"fd00:0:0:{number:x}::1") == 0 for number in range(1000))
    assert looked_at == 30, "from however many addresses"
    assert guess("192.168.1.31", pairing.code) == 60
    times.seconds += 60
    looked_at = sum(guess(f"fe80::{number:x}") == 0 for number in range(1000))
    assert looked_at == 5, "and all of an IPv6 network are one"
    assert guess("192.168.1.31", pairing.code) == -1


def test_while_somebody_guesses_a_code_for_once_is_shown_and_looked_at_all_the_same(store: Store, times: Times) -> None:
    pairing = times.pairing(store)
    assert pairing.to_show().typed == pairing.code
    assert not pairing.guessed
    _guess(pairing, 5, "192.168.1.66")
    assert pairing.guessed
    shown = pairing.to_show()
    assert shown.once
    assert shown.typed != pairing.code
    assert len(shown.path) == len(pairing.path)
    assert pairing.to_show() == shown, "a page loaded again shows the same"
    _guess(pairing, 30, "192.168.1.{}")
    with pytest.raises(NotPaired, match="so this one is not looked at now"):
        pairing.pair(pairing.code, "Phone", PHONE)
    for _ in range(3):
        pairing.check(shown.letters, PHONE)
    token = pairing.pair(shown.typed.upper(), "Phone", PHONE)
    assert pairing.knows(token)
    with pytest.raises(NotPaired):
        pairing.pair(shown.letters, "Tablet", "192.168.1.31")
    assert pairing.to_show().once
    assert pairing.to_show() != shown
    assert times.pairing(store).path == pairing.path
    times.seconds += 60
    assert pairing.to_show().typed == pairing.code


def _guess(pairing: Pairing, number: int, address: str) -> None:
    for place in range(number):
        with pytest.raises(NotPaired):
            pairing.check("guess", address.format(100 + place))


def test_a_code_for_once_lasts_ten_minutes_at_least_and_twenty_at_most(store: Store, times: Times) -> None:
    pairing = times.pairing(store)
    _guess(pairing, 5, PHONE)
    first = pairing.to_show()
    times.seconds += 599
    _guess(pairing, 5, PHONE)
    assert pairing.to_show() == first
    times.seconds += 1
    second = pairing.to_show()
    assert second != first
    times.seconds += 599
    pairing.check(first.letters, PHONE)
    times.seconds += 1
    _guess(pairing, 5, PHONE)
    for code, within in ((first, False), (second, True)):
        if within:
            pairing.check(code.letters, PHONE)
        else:
            with pytest.raises(NotPaired):
                pairing.check(code.letters, PHONE)
    pairing.renew()
    with pytest.raises(NotPaired):
        pairing.check(second.letters, PHONE)


def test_this_computers_own_address_never_waits(store: Store, times: Times) -> None:
    pairing = times.pairing(store)
    _guess(pairing, 30, "192.168.1.{}")
    for _ in range(50):
        with pytest.raises(NotPaired, match="not \\(or no longer\\) the right one"):
            pairing.pair("guess", "Computer", "192.168.1.20", own=True)
    assert pairing.pair(pairing.code, "Computer", "192.168.1.20", own=True)


def test_there_is_an_end_to_devices(store: Store, times: Times) -> None:
    pairing = times.pairing(store)
    for _ in range(MOST_DEVICES):
        pairing.pair(pairing.code, "Phone", PHONE)
    with pytest.raises(NotPaired, match="100 devices are in already; remove one"):
        pairing.pair(pairing.code, "Phone", PHONE)
    assert len({device.name for device in pairing.devices()}) == MOST_DEVICES

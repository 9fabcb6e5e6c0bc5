"""Who keeps a line to the server when many want one, and for how long; without a socket."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.server.lines import MOST_REMEMBERED, SECOND, Limits, Line, Lines, LineStage, Share

LIMITS = Limits(home=Share(4, 4), known=Share(8, 4), strangers=Share(6, 2))
HOME, PHONE, STRANGER = "127.0.0.1", "192.168.1.30", "192.168.1.66"


class Clock:
    """A clock that the test winds on."""

    def __init__(self) -> None:
        self.now = 1_000_000

    def __call__(self) -> int:
        return self.now


class Room:
    """Lines, and which of them are still there."""

    def __init__(self, limits: Limits = LIMITS) -> None:
        self.clock = Clock()
        self.lines = Lines(limits, self.clock)
        self.open: list[Line] = []

    def come(self, address: str, known: bool | None = None) -> Line | None:
        """A caller opens a line and asks at once (known: as who is, or is not), or says nothing."""
        self.clock.now += 1
        line = self.lines.come(address)
        if line is not None:
            self.open.append(line)
            if known is not None:
                self.lines.heard(line, known)
        self.sweep()
        return line

    def sweep(self, stage: Callable[[Line], LineStage] = lambda line: LineStage.ASKING) -> None:
        for line in [each for each in self.open if self.lines.must_end(each, stage(each))]:
            self.lines.gone(line)
            self.open.remove(line)

    def held(self, *addresses: str) -> int:
        return sum(line.address in addresses for line in self.open)


def test_a_stranger_with_many_lines_pushes_out_its_own() -> None:
    room = Room()
    first = room.come(STRANGER)
    lines = [room.come(STRANGER) for _ in range(300)]
    assert room.held(STRANGER) == 2
    assert room.open == lines[-2:], "the newest; so that one who comes again gets in"
    assert first not in room.open


@pytest.mark.parametrize(
    ("address", "most"),
    [("192.168.1.{}", 6), ("2001:db8:1:2::{:x}", 2), ("2001:db8:{:x}::1", 6), ("fe80::{:x}", 2)],
)
def test_however_many_addresses_strangers_have_they_hold_only_their_share(address: str, most: int) -> None:
    room = Room()
    room.come(HOME, True)
    room.come(PHONE, True)
    for number in range(31, 250):
        room.come(address.format(number))
    assert len(room.open) == 2 + most
    assert room.held(HOME, PHONE) == 2


def test_where_strangers_hold_all_their_share_one_more_takes_the_place_of_whoever_holds_most() -> None:
    room = Room()
    greedy = [line for number in (41, 41, 42, 42, 43) if (line := room.come(f"192.168.1.{number}"))]
    assert room.come("192.168.1.44") in room.open
    assert room.come("192.168.1.45") in room.open
    assert greedy[0] not in room.open
    assert room.held("192.168.1.43", "192.168.1.44", "192.168.1.45") == 3


def test_an_address_from_which_a_paired_device_asked_lately_keeps_its_places() -> None:
    room = Room()
    line = room.come(PHONE, True)
    assert line is not None
    room.lines.gone(line)
    room.open.clear()
    for number in range(100, 150):
        room.come(f"192.168.1.{number}")
    assert all(room.come(PHONE) for _ in range(4))
    assert room.held(PHONE) == 4
    room.clock.now += LIMITS.lately
    room.sweep()
    for number in range(100, 150):
        room.come(f"192.168.1.{number}")
    assert all(room.come(PHONE) for _ in range(4))
    assert room.held(PHONE) == 2, "after that it is a stranger until it has shown its token"


def test_a_guest_behind_the_same_router_takes_no_line_of_a_paired_device() -> None:
    room = Room()
    phones = [room.come(PHONE, True) for _ in range(3)]
    for _ in range(300):
        room.come(PHONE)
    assert [line for line in room.open if line.proven] == phones
    assert room.held(PHONE) == 4


def test_of_lines_that_are_all_proven_the_one_that_rests_longest_goes_but_none_with_an_answer_under_way() -> None:
    room = Room()
    lines = [room.come(PHONE, True) for _ in range(4)]
    assert None not in lines
    busy = lines[:3]
    room.sweep(lambda line: LineStage.ANSWER if line in busy else LineStage.ASKING)
    assert room.come(PHONE, True) in room.open
    assert lines[3] not in room.open
    room.sweep(lambda line: LineStage.ANSWER)
    for line in list(room.open):
        room.lines.heard(line, True)
        assert not room.lines.must_end(line, LineStage.ANSWER)
    assert room.lines.come(PHONE) is None
    assert len(room.open) == 4


@pytest.mark.parametrize("known", [False, True])
@pytest.mark.parametrize("stage", list(LineStage))
def test_each_stage_has_an_end_however_much_is_sent_meanwhile(stage: LineStage, known: bool) -> None:
    room = Room()
    line = room.come(PHONE, known)
    assert line is not None
    room.lines.must_end(line, stage)
    most = (LIMITS.asking, LIMITS.body, LIMITS.answer)[stage][known]
    ends = []
    for _ in range(0, 2 * most, SECOND):
        room.clock.now += SECOND
        ends.append(room.lines.must_end(line, stage))
    assert ends == [False] * (most // SECOND) + [True] * (most // SECOND)


def test_who_asks_again_in_time_stays() -> None:
    room = Room()
    line = room.come(PHONE, True)
    assert line is not None
    for _ in range(50):
        for stage in (LineStage.BODY, LineStage.ANSWER, LineStage.ASKING):
            room.clock.now += 10 * SECOND
            assert not room.lines.must_end(line, stage)
        room.lines.heard(line, True)


def test_a_device_that_was_removed_is_a_stranger_on_its_open_line() -> None:
    room = Room()
    line = room.come("192.168.1.31", True)
    assert line is not None
    room.lines.heard(line, False)
    room.clock.now += LIMITS.body[0] + 1
    assert room.lines.must_end(line, LineStage.BODY)


def test_addresses_are_not_remembered_without_end() -> None:
    room = Room()
    for number in range(3 * MOST_REMEMBERED):
        line = room.come(f"10.0.{number // 200}.{number % 200}", True)
        assert line is not None
        room.lines.gone(line)
        room.open.remove(line)
    assert len(room.lines._shown) == MOST_REMEMBERED


STEPS = st.lists(
    st.tuples(
        st.sampled_from([HOME, PHONE, "192.168.1.31", "fe80::1", "fe80::2", *(f"10.0.0.{n}" for n in range(9))]),
        st.sampled_from([None, False, True]),
        st.sampled_from(list(LineStage)),
    ),
    max_size=80,
)


@given(STEPS)
def test_shares_are_never_exceeded_and_a_newcomer_is_refused_only_where_all_lines_are_answering(
    steps: list[tuple[str, bool | None, LineStage]],
) -> None:
    room = Room()
    for address, asks, stage in steps:
        line = room.come(address, asks and address in (HOME, PHONE, "192.168.1.31"))
        if line is None:
            assert any(each.stage is LineStage.ANSWER and each.proven for each in room.open)
        elif stage is not LineStage.ASKING:
            room.lines.must_end(line, stage)
        assert room.held(HOME) <= LIMITS.home.total
        assert room.held(PHONE) <= LIMITS.known.each + LIMITS.strangers.each
        assert len(room.open) <= LIMITS.home.total + LIMITS.known.total + LIMITS.strangers.total + 2

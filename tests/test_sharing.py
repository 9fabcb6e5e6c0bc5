"""Threads share the interpreter in small slices while it serves, and objects that live long stop nobody."""

from __future__ import annotations

import gc
import sys
import weakref

from tracker.server import sharing


class Ring:
    """Refers to itself: only looking for unused objects takes it away."""

    def __init__(self) -> None:
        self.own = self


def test_all_is_as_it_was_afterwards() -> None:
    before = sys.getswitchinterval(), gc.get_threshold()
    with sharing.shared():
        assert sys.getswitchinterval() * 2 < before[0]
        assert gc.get_threshold() == (sharing.YOUNG, sharing.MIDDLE, sharing.SELDOM)
        assert gc.get_freeze_count() > 0
    assert (sys.getswitchinterval(), gc.get_threshold()) == before
    assert gc.get_freeze_count() == 0


def test_what_lives_long_is_set_aside_and_looked_at_in_a_quiet_moment() -> None:
    with sharing.shared() as tidying:
        for _ in range(sharing.SET_ASIDE_AFTER):
            gc.collect(1)
        kept = [[number] for number in range(1000)]
        lost = Ring()
        seen = weakref.ref(lost)
        assert any(each is kept for each in gc.get_referrers(kept[0]))
        tidying.mind(True, 100)
        assert not any(each is kept for each in gc.get_referrers(kept[0])), "it has lived long enough"
        del lost
        gc.collect()
        assert seen() is not None, "what is set aside is not looked at"
        tidying.mind(False, 100 + sharing.QUIET - 1)
        assert seen() is not None
        tidying.mind(False, 100 + sharing.QUIET)
        assert seen() is None
        again = Ring()
        seen = weakref.ref(again)
        gc.freeze()
        del again
        tidying.mind(False, 100 + 3 * sharing.QUIET)
        assert seen() is not None, "once is enough while nobody asks"

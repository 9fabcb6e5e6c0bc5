"""The store when nothing goes wrong: what is kept, in which order, and once."""

from __future__ import annotations

import re
import subprocess
import sys
import threading
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from storing import DAY, contents, filled, open_store, tap

from tracker.store import journal
from tracker.store.quilts import Store, StoreFault, default_folder


def test_everything_is_there_after_a_restart(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        quilt = store.add({"title": "Lighthouse", "plan": "seam = “¼”\n", "demo": False, "n": [1, None, True]})
        assert all(quilt.append(tap(number)) for number in range(1, 31))
        quilt.set_about(demo=True, note="kept by the window")
        store.room.set_about(devices={"phone": "9f"})
        version = quilt.version
    with open_store(tmp_path) as store:
        assert store.findings == []
        assert [found.id for found in store.quilts()] == [quilt.id]
        again = store.quilt(quilt.id)
        assert list(again.taps) == [tap(number) for number in range(1, 31)]
        assert again.about == {
            "title": "Lighthouse",
            "plan": "seam = “¼”\n",
            "demo": True,
            "n": [1, None, True],
            "note": "kept by the window",
        }
        assert again.version == version
        assert store.room.about == {"devices": {"phone": "9f"}}


def test_the_version_grows_with_each_change_and_over_restarts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(journal, "BOUND", 4)
    seen = []
    with open_store(tmp_path) as store:
        quilt_id = store.add({"title": "a"}).id
    for restart in range(5):
        with open_store(tmp_path) as store:
            quilt = store.quilt(quilt_id)
            for number in range(3):
                quilt.append(tap(10 * restart + number))
                seen.append(quilt.version)
            quilt.set_about(title=str(restart))
            seen.append(quilt.version)
    assert seen == sorted(set(seen))


def test_an_id_is_applied_once(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        quilt = store.add({})
        assert quilt.append(tap(1))
        size = (tmp_path / f"{quilt.id}.quilt").stat().st_size
        assert not quilt.append(tap(1))
        assert not quilt.append({"id": "tap-1", "step": "another"})
        assert quilt.append_all([tap(1)]) == 0
        assert (tmp_path / f"{quilt.id}.quilt").stat().st_size == size
        assert quilt.append_all([tap(2), tap(1), tap(3), tap(2)]) == 2
    with open_store(tmp_path) as store:
        again = store.quilt(quilt.id)
        assert list(again.taps) == [tap(1), tap(2), tap(3)]
        assert not again.append(tap(3))
        assert again.has("tap-3")
        assert not again.has("tap-4")


def test_several_taps_are_one_line(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        quilt = store.add({})
        quilt.append_all([tap(number) for number in range(50)])
        assert (tmp_path / f"{quilt.id}.quilt").read_bytes().count(b"\n") == 3


def test_what_is_given_and_what_is_handed_out_are_apart_from_what_is_stored(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        facts = {"list": [1]}
        quilt = store.add(facts)
        blocks = ["1"]
        given = {"id": "a", "blocks": blocks}
        quilt.append(given)
        facts["list"].append(2)
        blocks.append("2")
        quilt.about["list"].append(3)
        assert quilt.about == {"list": [1]}
        assert list(quilt.taps) == [{"id": "a", "blocks": ["1"]}]
        taps = quilt.taps
        quilt.append({"id": "b"})
        assert quilt.taps is taps, "20,000 taps are not copied for each look"
        assert len(taps) == 2


@pytest.mark.parametrize(
    ("value", "sentence"),
    [
        (1.5, "tap, x cannot be kept: a float is never exact; give a whole number or text."),
        (float("nan"), "tap, x cannot be kept: a float is never exact; give a whole number or text."),
        ([1, [2.0]], "tap, x, item 2, item 1 cannot be kept: a float is never exact; give a whole number or text."),
        ({"y": {1: 2}}, "tap, x, y cannot be kept: the key 1 is not text."),
        (2**63, "tap, x cannot be kept: the number is too large."),
        (
            {1},
            "tap, x cannot be kept: a set is not text, a whole number, true, false, a list or a table.",
        ),
    ],
)
def test_what_would_not_come_back_the_same_is_refused(tmp_path: Path, value: object, sentence: str) -> None:
    with open_store(tmp_path) as store:
        quilt = store.add({"title": "a"})
        before = contents(tmp_path)
        with pytest.raises(StoreFault) as caught:
            quilt.append_all([tap(1), {"id": "b", "x": value}])
        assert caught.value.kind == "not storable"
        assert caught.value.sentence == sentence
        with pytest.raises(StoreFault):
            quilt.set_about(x=value)
        with pytest.raises(StoreFault):
            store.add({"x": value})
        assert contents(tmp_path) == before
        assert len(quilt.taps) == 0


def test_nesting_without_end_and_taps_without_an_id_are_refused(tmp_path: Path) -> None:
    endless: list[Any] = []
    endless.append(endless)
    with open_store(tmp_path) as store:
        quilt = store.add({})
        for wrong in ({"id": "a", "x": endless}, {"step": "a"}, {"id": 7}, {"id": ""}):
            with pytest.raises(StoreFault, match="cannot be kept"):
                quilt.append(wrong)
        with pytest.raises(StoreFault, match="cannot be kept: it has no id"):
            store.add({}, taps=[{"step": "a"}])


@pytest.mark.parametrize("text", ["\x00\x1f\n\r\u2028", "\ud800", "½ “ü” 🧵", "</script>", "a" * 200_000])
def test_any_text_comes_back_the_same(tmp_path: Path, text: str) -> None:
    with open_store(tmp_path) as store:
        quilt_id = store.add({"plan": text}).id
        store.quilt(quilt_id).append({"id": text})
    with open_store(tmp_path) as store:
        assert store.findings == []
        assert store.quilt(quilt_id).about == {"plan": text}
        assert list(store.quilt(quilt_id).taps) == [{"id": text}]


def test_quilts_come_in_the_order_in_which_they_were_made_whatever_the_clock_says(tmp_path: Path) -> None:
    made = []
    for back in range(12):
        with open_store(tmp_path, DAY - timedelta(days=back)) as store:
            made.append(store.add({"title": str(back)}).id)
            assert [quilt.id for quilt in store.quilts()] == made
    assert len(set(made)) == 12
    assert all(re.fullmatch("[a-z0-9]{6}", quilt_id) for quilt_id in made)


def test_a_quilt_begun_elsewhere_keeps_its_id_where_that_is_free(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        first = store.add({"title": "a"}, taps=[tap(1), tap(2), tap(1)], wanted_id="k3f9p2")
        assert first.id == "k3f9p2"
        assert list(first.taps) == [tap(1), tap(2)]
        assert not first.append(tap(2))
        for wanted in ("k3f9p2", "../../x", "room", "K3F9P2", ""):
            assert re.fullmatch("[a-z0-9]{6}", store.add({}, wanted_id=wanted).id)
        assert len(store.quilts()) == 6
    with open_store(tmp_path) as store:
        assert list(store.quilt("k3f9p2").taps) == [tap(1), tap(2)]


def test_a_deleted_quilt_can_be_taken_back(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        kept, gone = store.add({"title": "kept"}), store.add({"title": "gone"})
        gone.append(tap(1))
        store.delete(gone.id)
        assert store.quilts() == [kept]
        for refused in (lambda: gone.append(tap(2)), lambda: store.delete(gone.id), lambda: store.quilt(gone.id)):
            with pytest.raises(StoreFault) as caught:
                refused()
            assert caught.value.kind == "unknown"
    with open_store(tmp_path) as store:
        assert store.findings == [], "a deleted quilt is not a missing one"
        assert [(found.id, found.about) for found in store.deleted()] == [(gone.id, {"title": "gone"})]
        for unknown in (kept.id, "zzzzzz", "../room"):
            with pytest.raises(StoreFault, match="There is no quilt"):
                store.restore_deleted(unknown)
        back = store.restore_deleted(gone.id)
        assert list(back.taps) == [tap(1)]
        assert back.append(tap(2))
        assert store.deleted() == []
    with open_store(tmp_path) as store:
        assert [quilt.about["title"] for quilt in store.quilts()] == ["kept", "gone"]
        assert list(store.quilt(gone.id).taps) == [tap(1), tap(2)]
        store.delete(gone.id)
        (tmp_path / "deleted" / f"{gone.id}.quilt").unlink()
    with open_store(tmp_path) as store:
        assert (store.findings, store.deleted()) == ([], []), "deleted for good by hand, it does not come back"


def test_eight_threads_on_one_quilt(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(journal, "BOUND", 50)
    applied: list[str] = []
    with open_store(tmp_path) as store:
        quilt = store.add({})

        def hammer(worker: int) -> None:
            for number in range(60):
                # Half of the ids come from two threads each.
                name = f"{worker // 2 if number % 2 else worker}-{number}-{number % 2}"
                if quilt.append({"id": name}):
                    applied.append(name)
                with quilt.turn():
                    count = len(quilt.taps)
                    quilt.append({"id": f"turn-{count}", "count": count})
                    assert quilt.taps[-1] == {"id": f"turn-{count}", "count": count}

        threads = [threading.Thread(target=hammer, args=(worker,)) for worker in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        before = list(quilt.taps)
    assert len(applied) == len(set(applied)) == 8 * 30 + 4 * 30
    turns = [found for found in before if "count" in found]
    assert len(turns) == 8 * 60
    assert all(before[found["count"]] == found for found in turns)
    with open_store(tmp_path) as store:
        assert list(store.quilt(quilt.id).taps) == before
        assert store.findings == []


def test_threads_that_make_delete_and_tap_quilts_do_not_wait_for_each_other_for_ever(tmp_path: Path) -> None:
    days = iter(DAY + timedelta(days=number // 7) for number in range(10**6))
    with Store.open(tmp_path, today=lambda: next(days)) as store:
        shared = store.add({"title": "shared"})

        def work(worker: int) -> None:
            for number in range(15):
                mine = store.add({"title": f"{worker}"})
                with shared.turn():
                    shared.append({"id": f"{worker}-{number}"})
                    mine.append({"id": "a"})
                store.delete(mine.id)
                if number % 3 == 0:
                    store.restore_deleted(mine.id).append({"id": "b"})

        threads = [threading.Thread(target=work, args=(worker,), daemon=True) for worker in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(60)
        assert not any(thread.is_alive() for thread in threads)
        assert len(shared.taps) == 60
        assert len(store.quilts()) == 1 + 4 * 5
        assert all(len(quilt.taps) == 2 for quilt in store.quilts()[1:])


def test_a_second_store_on_a_folder_is_refused(tmp_path: Path) -> None:
    script = (
        "import sys; from pathlib import Path; from tracker.store.quilts import Store, StoreFault\n"
        "try: Store.open(Path(sys.argv[1])).close()\n"
        "except StoreFault as fault: print(fault.kind)\n"
        "else: print('open')"
    )

    def elsewhere() -> str:
        ran = subprocess.run([sys.executable, "-c", script, str(tmp_path)], capture_output=True, text=True, check=True)
        return ran.stdout.strip()

    with open_store(tmp_path):
        with pytest.raises(StoreFault) as caught:
            open_store(tmp_path)
        assert caught.value.kind == "in use"
        assert str(tmp_path) in caught.value.sentence
        assert elsewhere() == "in use"
    assert elsewhere() == "open"


def test_a_closed_store_takes_nothing(tmp_path: Path) -> None:
    store = open_store(tmp_path)
    quilt = store.add({})
    store.close()
    store.close()
    before = contents(tmp_path)
    for change in (lambda: quilt.append(tap(1)), lambda: store.add({}), lambda: store.room.set_about(a=1)):
        with pytest.raises(StoreFault, match="has been closed"):
            change()
    assert contents(tmp_path) == before
    assert len(quilt.taps) == 0


def test_other_files_in_the_folder_are_left_alone(tmp_path: Path) -> None:
    tmp_path.joinpath("copies", "holiday").mkdir(parents=True)
    others = [tmp_path / name for name in ("notes.txt", "k3f9p2 copy.quilt", "copies/holiday/x.quilt", "copies/readme")]
    for path in others:
        path.write_text("mine")
    with open_store(tmp_path) as store:
        assert (store.findings, store.quilts()) == ([], [])
    assert [path.read_text() for path in others] == ["mine"] * 4


def test_the_files_are_for_their_owner_alone(tmp_path: Path) -> None:
    with open_store(tmp_path / "rooms") as store:
        store.add({})
    modes = {path.stat().st_mode & 0o077 for path in (tmp_path / "rooms").rglob("*") if path.suffix != ".lock"}
    assert modes == {0}
    assert (tmp_path / "rooms").stat().st_mode & 0o077 == 0


def test_the_default_folder_follows_the_platform(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert default_folder().name == "sewing-room"
    assert default_folder().is_absolute()


def test_a_tap_and_facts_in_one_change_are_both_there_or_neither(tmp_path: Path) -> None:
    """However the file is cut short: never the one without the other."""
    file = filled(tmp_path / "whole", 3)
    with open_store(file.parent) as store:
        quilt = store.quilt("k3f9p2")
        before = quilt.version
        assert quilt.append_with({"id": "carried"}, [{"id": "asked again"}], plan="another plan", former=["a plan"])
        assert quilt.version == before + 1
        assert not quilt.append_with({"id": "carried"}, plan="a third plan")
        assert quilt.append(tap(9))
        about, taps = quilt.about, list(quilt.taps)
    assert (about["plan"], about["title"], about["former"]) == ("another plan", "Lighthouse", ["a plan"])
    assert [each["id"] for each in taps] == ["tap-0", "tap-1", "tap-2", "carried", "asked again", "tap-9"]
    data = file.read_bytes()
    *_, line, last = data.splitlines(keepends=True)
    for size in range(len(data) - len(last) - len(line), len(data) + 1, 7):
        folder = tmp_path / str(size)
        folder.mkdir()
        (folder / file.name).write_bytes(data[:size])
        with open_store(folder) as store:
            quilt = store.quilt("k3f9p2")
            assert (quilt.about["plan"] == "another plan") == quilt.has("carried") == quilt.has("asked again")


def test_a_tap_with_facts_that_cannot_be_written_changes_nothing(tmp_path: Path) -> None:
    filled(tmp_path, 1)
    with open_store(tmp_path) as store:
        quilt = store.quilt("k3f9p2")
        with pytest.raises(StoreFault):
            quilt.append_with({"id": "carried"}, plan=1.5)
        assert (quilt.about["plan"], quilt.has("carried"), len(quilt.taps)) == ("a plan", False, 1)
        assert quilt.append_with({"id": "carried"}, plan="another plan")
        assert [each["id"] for each in quilt.taps] == ["tap-0", "carried"]

"""What every test may use: the browser and its pages, a sewing room and its visitors; and nothing is timed."""

import gc
import os
import sys
from contextlib import suppress
from importlib import import_module
from pathlib import Path

import pytest
from effort import tries
from hypothesis import HealthCheck, settings

if sys.dont_write_bytecode:
    # Also where compiled files are not wanted beside the sources, a hundred processes need not compile the same anew.
    sys.dont_write_bytecode, sys.pycache_prefix = False, str(Path(__file__).parent.parent / ".pytest_cache/compiled")
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix

HERE = Path(__file__).parent

pytest.register_assert_rewrite("reckoned")
pytest_plugins = ["browser", "visitors", "house", "dialling", "scripts", "schooling"]

# On a busy machine the same examples take as long as they take, and where many are none, a few of them are enough.
UNMINDED = [HealthCheck.too_slow, HealthCheck.filter_too_much]
settings.register_profile("untimed", max_examples=tries(100), deadline=None, suppress_health_check=UNMINDED)
settings.load_profile("untimed")

SECONDS = {
    "test_screens_kept": 42, "test_screens_draw": 27, "test_screens_looking": 26, "test_screens_cutting": 22,
    "test_screens_readers": 21, "test_screens_eyes": 21, "test_engines": 20, "test_screens_away": 18,
    "test_screens_unsaved": 18, "test_screens_measured": 17, "test_screens_tapping": 17, "test_screens_sheets": 15,
    "test_questions": 12, "test_storm": 10, "test_strips": 10, "test_run": 9, "test_bad_plans": 8, "test_packaging": 7,
    "test_looking": 7, "test_room_long": 5,
}  # fmt: skip
"""Files whose tests take longest, and about how long; any other of a screen takes about `OTHERS`."""
OTHERS = 6


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """One process more than there are cores: a test in a browser often waits for what the page does in its own time."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return cores + 1


def pytest_collection(session: pytest.Session) -> None:
    """Before all tests are collected, each process imports another part of them first: where nothing is compiled yet,
    none compiles then what the others do as well."""
    processes = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", 1))
    if processes > 1 and [Path(given).resolve() for given in session.config.args] == [HERE]:
        names = sorted(path.stem for path in HERE.glob("test_*.py"))
        first = len(names) * int(os.environ["PYTEST_XDIST_WORKER"].removeprefix("gw")) // processes
        for name in names[first:] + names[:first]:
            with suppress(Exception):  # what is wrong with it is told where it is collected
                import_module(name)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items[:] = dealt(items, int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", 1)))
    # What was imported and collected stays: going through it again and again for garbage took a tenth of the time.
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 100)


def dealt(items: list[pytest.Item], processes: int) -> list[pytest.Item]:
    """The tests in such an order that each process, which is given as many of them as any other, one after another,
    begins with its share of the long ones: none of these is still running then when all others have ended."""
    files: dict[str, list[pytest.Item]] = {}
    for item in items:
        files.setdefault(item.path.stem, []).append(item)
    usual = {name: OTHERS for name in files if name.startswith("test_screens")}
    seconds = {name: lasts for name, lasts in (usual | SECONDS).items() if name in files}
    hands: list[list[str]] = [[] for _ in range(processes)]
    for name in sorted(seconds, key=lambda name: -seconds[name]):
        min(hands, key=lambda hand: sum(seconds[each] for each in hand)).append(name)
    rest = [item for item in items if item.path.stem not in seconds]
    order: list[pytest.Item] = []
    for number, hand in enumerate(hands, 1):
        order += [item for name in hand for item in files[name]]
        more = max(0, len(items) * number // processes - len(order))
        order, rest = order + rest[:more], rest[more:]
    return order + rest

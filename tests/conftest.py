"""What every test may use: the browser and its pages, a sewing room and its visitors; and nothing is timed."""

import gc
import os
import sys
from pathlib import Path

import pytest
from effort import tries
from hypothesis import HealthCheck, settings

if sys.dont_write_bytecode:
    # Also where compiled files are not wanted beside the sources, a hundred processes need not compile the same anew.
    sys.dont_write_bytecode, sys.pycache_prefix = False, str(Path(__file__).parent.parent / ".pytest_cache/compiled")
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix

pytest.register_assert_rewrite("reckoned")
pytest_plugins = ["browser", "visitors", "house", "dialling", "scripts", "schooling"]

# On a busy machine the same examples take as long as they take.
settings.register_profile(
    "untimed", max_examples=tries(100), deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("untimed")

LONG = (
    "test_storm", "test_engines", "test_room_long", "test_reckoning", "test_screens_walk", "test_screens_eyes",
    "test_screens_away",
)  # fmt: skip
"""Files whose tests take longest. They begin first, so that none is still running when all others have ended."""


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """One process more than there are cores: a test in a browser often waits for what the page does in its own time."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return cores + 1


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: item.path.stem not in LONG)
    # What was imported and collected stays: going through it again and again for garbage took a tenth of the time.
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 100)

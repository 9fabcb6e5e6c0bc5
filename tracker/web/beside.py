"""The demo has a folder of its own, `demo` inside that of one's own quilts: what either says of the other."""

from __future__ import annotations

from pathlib import Path

from tracker.store.quilts import QUILT_FILE, Store, StoreFault
from tracker.store.records import read_log

FOLDER = "demo"


def demo_only(store: Store) -> bool:
    """Whether quilts made here stay with the demo, and are not seen when the sewing room starts without it."""
    return store.folder.name == FOLDER and any(stored.about.get("demo") for stored in store.quilts())


def own_with_the_demo(store: Store) -> int:
    """How many quilts of her own lie with the demo, for a store that has none itself (else 0)."""
    folder = store.folder / FOLDER
    if store.quilts() or not folder.is_dir():
        return 0
    return sum(_is_own(path) for path in folder.iterdir() if QUILT_FILE.fullmatch(path.name))


def _is_own(path: Path) -> bool:
    try:
        state = read_log(path).replayed()
    except (OSError, StoreFault):
        return False
    facts = state.tables.get("about", {}).values() if state else ()
    about = {key: value for document in facts for key, value in document.items()}
    return bool(about) and not about.get("demo")

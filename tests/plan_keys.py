"""README's list of the keys of a plan file, from where they are declared. Run by hand it prints the list."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.plan.keys import declared
from tracker.plan.model import Backing, Batting, Binding, Block, Border, Buying, Fabric, Frame, Plan, Quilt, Sash

TABLES = {
    "at the top": Plan,
    "`[fabrics.S]`": Fabric,
    "`[blocks.beacon]`": Block,
    "`[[blocks.beacon.frame]]`": Frame,
    "`[quilt]`": Quilt,
    "`[quilt.sash]`": Sash,
    "`[[quilt.border]]`": Border,
    "`[quilt.binding]`": Binding,
    "`[quilt.backing]`": Backing,
    "`[quilt.batting]`": Batting,
    "`[buying]`": Buying,
}


def rows() -> Iterator[str]:
    """A row for each field of a plan that stands in a file and is no table itself: its table, its keys, what it is."""
    inner = {name.strip("`[]").rpartition(".")[2] for name in TABLES} | {"fabrics", "blocks"}
    for name, table in TABLES.items():
        for field, key in declared(table):
            if inner.issuperset(key.names or (field,)):
                continue
            keys = ", ".join(f"`{each}`" for each in key.names or (field,))
            yield f"| {name} | {keys} | {key.says} |"


if __name__ == "__main__":
    print("\n".join(rows()))

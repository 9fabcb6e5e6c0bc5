"""Writes the frozen answers of every plan anew. Run it when ids or answers change on purpose, and say why:

python tests/freeze.py [NAME ...]
"""

from __future__ import annotations

import sys

from freezing import ANSWERS, PLANS, frozen_lines


def main() -> None:
    ANSWERS.mkdir(exist_ok=True)
    for name in sys.argv[1:] or sorted(PLANS):
        (ANSWERS / f"{name}.txt").write_text("\n".join(frozen_lines(name)) + "\n", encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()

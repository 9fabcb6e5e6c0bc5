"""`python -m tracker` is the same as `sewing-room`.

Every Python 3 can read this file, so that one that is too old can say so; nothing else of the package is read before.
"""

import sys

OLDEST = (3, 11)


def main() -> int:
    """Run one command, unless this Python is too old for it. Out: the exit code."""
    if sys.version_info < OLDEST:
        sys.stderr.write(
            "The sewing room needs Python %d.%d or newer, and this is Python %d.%d: install a newer one, and the sewing"
            " room with it.\n" % (OLDEST + sys.version_info[:2])
        )
        return 1
    from tracker.cli import main as run

    return run()


if __name__ == "__main__":
    sys.exit(main())

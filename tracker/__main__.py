"""`python -m tracker` is the same as `sewing-room`."""

from __future__ import annotations

import sys

from tracker.cli import main

if __name__ == "__main__":
    sys.exit(main())

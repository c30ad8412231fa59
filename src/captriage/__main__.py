"""``python -m captriage`` is ``captriage``."""

from __future__ import annotations

from captriage.cli import main

if __name__ == "__main__":
    main()

"""What a guardian left behind whose run had died: how the output was left, in a file."""

from __future__ import annotations

import json
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from captriage.bench.sitting import Show


def last_words(book: str, run_id: int) -> Path:
    """File in which the guardian of a run says how the output was left: beside the book."""
    path = Path(book)
    folder = path.parent if path.exists() else Path(tempfile.gettempdir())
    return folder / f"{path.name}.run{run_id}.guardian.json"


def tell_last_words(words: Path, show: Show) -> None:
    """Tell what the file says, where there is one, and take it away."""
    with suppress(OSError, ValueError, KeyError):  # none, or cut short by the end of everything
        said = json.loads(words.read_text(encoding="utf-8"))
        sure = "and the supply said so" if said["confirmed"] else "which the supply did NOT confirm"
        show.tell("before", f"its guardian switched off at {said['utc']} ({said['why']}), {sure}")
        words.unlink()

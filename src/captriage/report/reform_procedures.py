"""The published ways to reform, listed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TextIO

from captriage.reform.procedure import Procedure
from captriage.report.plain_data import write_object
from captriage.report.terminal import Terminal


def write_table(procedures: Sequence[Procedure], out: TextIO) -> None:
    """Write each with what it does, where it is published, and what that is worth."""
    page = Terminal(out)
    page.paragraph(
        "They differ by several thousand times in the series resistor, for they were written for "
        "different stock: choose one. The first is the default."
    )
    for procedure in procedures:
        page.heading(procedure.name)
        page.paragraph(f"{procedure.does}.", first="  ")
        if procedure.fresh_stock:
            page.paragraph(
                "For good stock of known history alone: refused for others unless --fresh-stock "
                "says so.",
                first="  ",
            )
        if procedure.reject:
            page.paragraph(f"Rejects at {procedure.reject}.", first="  ")
        page.paragraph(f"{procedure.source} [{procedure.standing}]", first="  ")


def write_json(procedures: Sequence[Procedure], out: TextIO) -> None:
    """Write one object with a list of procedures."""
    write_object({"procedures": [as_object(procedure) for procedure in procedures]}, out)


def as_object(procedure: Procedure) -> dict[str, Any]:
    """One procedure as plain data."""
    return {
        "name": procedure.name,
        "does": procedure.does,
        "fresh_stock": procedure.fresh_stock,
        "reject": procedure.reject,
        "source": procedure.source,
        "standing": procedure.standing,
    }

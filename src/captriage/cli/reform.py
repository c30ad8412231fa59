"""The commands that reform: each stands in a file of its own."""

from __future__ import annotations

import click


@click.group()
def reform() -> None:
    """Reform a part: plan the run, carry it out, read its curve.

    A part whose capacitance and ESR are good but which leaks after years without voltage can
    often be brought back by raising its voltage slowly through a resistor.
    """

"""The commands that reform: each stands in a file of its own."""

from __future__ import annotations

import click

from captriage.cli import reform_plan, reform_run
from captriage.cli.reform_read import read, triage


@click.group()
def reform() -> None:
    """Reform a part: plan the run, carry it out, read its curve.

    A part whose capacitance and ESR are good but which leaks after years without voltage can
    often be brought back by raising its voltage slowly through a resistor.
    """


reform.add_command(reform_plan.plan)
reform.add_command(reform_plan.procedures)
reform.add_command(read)
reform.add_command(triage)
reform.add_command(reform_run.run)

"""The commands that plan a reforming run: reform plan, reform procedures."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

import click

from captriage.cli.options import OUT, POLICY, Decorated, format_of
from captriage.cli.output import chosen_format, destination
from captriage.report import late

PLAN_FORMATS: Final = {
    # of a list of PlanCard
    "table": late("reform_plan", "write_text"),
    "json": late("reform_plan", "write_json"),
    "html": late("reform_plan", "write_html"),
}
PROCEDURE_FORMATS: Final = {
    # of the procedures
    "table": late("reform_procedures", "write_table"),
    "json": late("reform_procedures", "write_json"),
}
PART: Final = (
    ("--made", "YEAR|CODE", "Year of making, or a date code."),
    ("--idle", "TIME", 'Time without voltage, such as "25y".'),
    ("--working", "V", "Highest steady voltage of its circuit: where the run ends."),
    ("--polarity", "WORD", "polar, where its terminals are known beyond doubt; or bipolar."),
    ("--looks", "WORDS", 'What is seen, such as "bulged" or "sound".'),
    ("--resistance", "OHM", "Between its terminals, out of circuit: is it shorted?"),
    ("--diameter", "MM", "Of its case: a small one stands less heat."),
    ("--tolerance", "TEXT", 'As printed: "-10/+50 %", "K".'),
    ("--name", "NAME", "What the part is called."),
    ("--section", "N", "Only this section of a can."),
)
SUPPLY: Final = (
    ("--supply-least", "V", "Lowest voltage that the supply can be set to."),
    ("--supply-most", "V", "Highest voltage that the supply can be set to."),
    ("--supply-step", "V", "Its settings are multiples of this.  [default: 1 V; 0.1 V up to 30 V]"),
    ("--limit-least", "A", "Lowest setting of its current limit."),
    ("--limit-most", "A", "Highest setting of its current limit."),
    ("--supply-power", "W", "What it gives at most."),
)
AT_HAND: Final = (
    ("--resistors", "LIST", 'At hand: "10k 2W 350V, 4x 47k 2W".  [default: any of E12]'),
    ("--meter", "KIND", "ammeter, voltmeter (across the resistor) or none.  [default: voltmeter]"),
    ("--meter-floor", "A|V", "Least that it tells from nought.  [default: 1 µA, 10 mV]"),
)


def texts(options: tuple[tuple[str, str, str], ...]) -> Callable[[Decorated], Decorated]:
    """Options that take a text, "" where it is not given."""

    def decorate(command: Decorated) -> Decorated:
        for name, metavar, says in reversed(options):
            command = click.option(name, metavar=metavar, default="", help=says)(command)
        return command

    return decorate


EQUIPMENT_EXAMPLE: Final = """\b
An equipment file, such as equipment.toml; all of it may be left out:
  [supply]
  voltage_most_v = 500   # and voltage_least_v, voltage_step_v, power_most_w
  current_most_a = 0.02  # and current_least_a
  [meter]
  kind = "voltmeter"     # or "ammeter", "none"
  floor = 0.01           # least that it tells from nought, in V or A
  [[resistors]]          # once for each value at hand
  ohm = 47000
  watt = 2               # and volt; what is not told counts as 1/4 W
  count = 4
"""


@click.command(epilog=EQUIPMENT_EXAMPLE)
@click.argument("rating")
@texts(PART)
@click.option(
    "--procedure",
    metavar="NAME",
    default="ours-steps-to-limit",
    show_default=True,
    help='Published procedure to follow; "captriage reform procedures" lists them.',
)
@click.option(
    "--fresh-stock",
    is_flag=True,
    help="I know that this is good stock: allow rated voltage at once through a small resistor.",
)
@click.option(
    "--equipment",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="TOML file with supply, resistors and meter; the options below come first.",
)
@texts(SUPPLY)
@texts(AT_HAND)
@POLICY
@click.option("--format", "format_", type=click.Choice(list(PLAN_FORMATS)), help="[default: table]")
@OUT
def plan(
    rating: str,
    procedure: str,
    fresh_stock: bool,
    equipment: Path | None,
    policy: str,
    format_: str | None,
    out: Path | None,
    **typed: str,
) -> int:
    """Plan the reforming of one part.

    Nothing is energised. RATING is what is printed on it, such as "32 µF 450 V"; a can, such as
    "16+16 µF 350 V", gets a plan for each section.

    The plan says the voltages, the resistors with ohms, watts and volts, how long each step is
    held and what ends or stops it, how the part is discharged, and the re-test that proves it. The
    HTML is printed and filled in by hand; the JSON can be carried out.
    """
    from captriage.jobs import equipment_file, reform_plan

    supply = {
        "voltage_least_v": typed.pop("supply_least"),
        "voltage_most_v": typed.pop("supply_most"),
        "voltage_step_v": typed.pop("supply_step"),
        "current_least_a": typed.pop("limit_least"),
        "current_most_a": typed.pop("limit_most"),
        "power_most_w": typed.pop("supply_power"),
    }
    at_hand = {name: typed.pop(name) for name in ("resistors", "meter", "meter_floor")}
    manner = reform_plan.Manner(
        procedure, fresh_stock, equipment_file.equipment_of(equipment, supply, **at_hand)
    )
    write = PLAN_FORMATS[chosen_format(format_, out, list(PLAN_FORMATS))]
    cards = reform_plan.plan(rating, reform_plan.Told(**typed), manner=manner, policy=policy)
    inputs = [Path(policy), *([equipment] if equipment else [])]
    with destination(out, inputs=inputs) as stream:
        write(cards, stream)
    if out:
        click.echo(f"Reforming plan written to {out}.")
    return 0


@click.command()
@format_of(PROCEDURE_FORMATS)
def procedures(format_: str) -> int:
    """List the published procedures that a plan can follow."""
    from captriage.reform.procedures import PROCEDURES

    with destination(None) as stream:
        PROCEDURE_FORMATS[format_](PROCEDURES, stream)
    return 0

"""The plan of a reforming run: for the terminal, as JSON, and as a page to print and fill in."""

from __future__ import annotations

from math import isfinite
from typing import Any, Final, TextIO

from captriage.reform.plan_data import plan_as_data
from captriage.report.figures import duration, percent
from captriage.report.plain_data import write_object
from captriage.report.reform_plan_words import (
    NEVER_SO_HOT,
    STEP_HEADS,
    TIME_HEADS,
    PlanCard,
    bench_rows,
    part_sees,
    proof,
    step_rows,
    stops,
    time_rows,
)
from captriage.report.terminal import Terminal, safe
from captriage.report.text_columns import Line, write_columns
from captriage.units import format_quantity

READ_AT_S: Final = (60.0, 300.0, 600.0, 1800.0, 3600.0, 7200.0, 14400.0)
"""Times of a step at which a line to write a reading in stands ready. [s]"""


def write_text(cards: list[PlanCard], out: TextIO) -> None:
    """Write each plan: cautions, what to settle and set up, the steps, and the proof."""
    page = Terminal(out)
    for number, card in enumerate(cards):
        if number:
            page.line()
            page.line("=" * page.width)
        _write_head(card, page)
        _write_steps(card, page)
        page.heading("Switch off and discharge when")
        page.items(stops(card))
        page.heading("Afterwards")
        page.items(proof(card))
        page.heading("Departs from the procedure, or takes for granted")
        page.items((*card.remarks, *card.plan.departures))


def _write_head(card: PlanCard, page: Terminal) -> None:
    """What comes before the steps."""
    plan = card.plan
    page.line(page.styled(safe(f"Reforming plan: {card.title}"), "heading"))
    page.line(f"{card.history}. House policy: {card.policy}.")
    page.paragraph(f"{plan.procedure}: {card.procedure.does}. Source: {plan.source}.")
    page.heading("Before anything is touched")
    page.items(plan.cautions)
    page.heading("Settle first")
    page.items(plan.questions, mark="  ? ")
    page.heading("Set up")
    for name, value in bench_rows(card):
        page.paragraph(value, first=f"  {name:<16}")


def _write_steps(card: PlanCard, page: Terminal) -> None:
    """Both tables of the steps, and how they are read."""
    plan = card.plan
    page.heading(f"Steps, up to {format_quantity(plan.target_v, 'V', digits=4)}: {card.takes}")
    write_columns(page, STEP_HEADS, [Line(row) for row in step_rows(plan)])
    page.line()
    page.paragraph(
        "The part sees the supply less the drop across the series resistor: the column says how "
        "much at the current that ends the step. A step ends when the current is below its column "
        "and the least time is over. Stop at: heat in the part; – where the "
        "series resistor never lets so much into it."
    )
    page.line()
    write_columns(page, TIME_HEADS, [Line(row) for row in time_rows(plan)])
    page.line()
    page.paragraph(
        "Charged to 99 % by rated capacitance. Healing is our own estimate, from 0.1 % to 3 % of "
        "the foil to be healed: a part may take less or far more."
    )


def write_json(cards: list[PlanCard], out: TextIO) -> None:
    """Write one object with a list of plans, figures in SI; it can be read back and run."""
    write_object({"plans": [as_object(card) for card in cards]}, out)


def as_object(card: PlanCard) -> dict[str, Any]:
    """One plan as plain data, and what is said of it."""
    return {
        **plan_as_data(card.plan),
        "procedure_does": card.procedure.does,
        "policy": card.policy,
        "age_years": finite(card.part.age_years),
        "idle_years": finite(card.part.idle_years),
        "stops": stops(card),
        "afterwards": proof(card),
        "remarks": list(card.remarks),
    }


def finite(value: float) -> float | None:
    """The value; None where it is not known."""
    return value if isfinite(value) else None


def write_html(cards: list[PlanCard], out: TextIO) -> None:
    """Write a page to print: boxes to tick, and empty cells for the readings of each step."""
    from captriage.report.pages import write_page

    write_page("reform_plan.html.j2", out, cards=[_page_of(card) for card in cards])


def _page_of(card: PlanCard) -> dict[str, Any]:
    """What the template names, of one plan."""
    return {
        "card": card,
        "plan": card.plan,
        "bench": bench_rows(card),
        "step_heads": [head.lstrip(">") for head in STEP_HEADS],
        "steps": step_rows(card.plan),
        "never_so_hot": NEVER_SO_HOT,
        "time_heads": [head.lstrip(">") for head in TIME_HEADS],
        "times": time_rows(card.plan),
        "stops": stops(card),
        "proof": proof(card),
        "target": format_quantity(card.plan.target_v, "V", digits=4),
        "to_fill": [
            (row, [*(duration(at) for at in READ_AT_S if at < step.most_s), "end"])
            for row, step in zip(step_rows(card.plan), card.plan.steps, strict=True)
        ],
        "drop": percent(1 - part_sees(card.plan.steps[-1]) / card.plan.steps[-1].supply_v),
    }

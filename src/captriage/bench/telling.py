"""Answers in figures, as the bench tells them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import isnan

from captriage.bench.measured import Answer, Value
from captriage.bench.sitting import Kept, Part
from captriage.bench.steadiness import spread
from captriage.columns import BENCH_QUANTITIES, QUANTITIES, TAN_DELTA
from captriage.units import format_quantity

NAMES = {TAN_DELTA: "tan δ ", "esr": "ESR ", "impedance": "|Z| "}
UNITS = {name: unit for name, (unit, _) in (QUANTITIES | BENCH_QUANTITIES).items()}


def counted(number: int, noun: str) -> str:
    """A number of things: "1 part", "3 parts"."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


def numbered(answers: Sequence[Kept]) -> str:
    """Answers by the numbers they were shown by: "answer 2.7", "answers 2.6 to 2.10, 3.1"."""
    stretches: list[list[str]] = []
    for number in (each.answer for each in answers):
        if stretches and follows(number, stretches[-1][-1]):
            stretches[-1].append(number)
        else:
            stretches.append([number])
    said = [f"{each[0]} to {each[-1]}" if len(each) > 1 else each[0] for each in stretches]
    return f"answer{'' if len(answers) == 1 else 's'} {', '.join(said)}"


def follows(number: str, before: str) -> bool:
    """Whether the one answer came next after the other in one run."""
    run, place = before.split(".")
    return number == f"{run}.{int(place) + 1}"


def figure(value: float, quantity: str) -> str:
    """One number with its unit, four digits."""
    return f"{NAMES.get(quantity, '')}{format_quantity(value, UNITS[quantity], digits=4)}"


def value_figure(value: Value) -> str:
    """A value, or why there is none."""
    if isnan(value.value):
        return f"{NAMES.get(value.quantity, '')}{value.flag or 'no number'}"
    shown = figure(value.value, value.quantity)
    return f"{shown} ({value.flag})" if value.flag else shown


def answer_figures(answer: Answer) -> str:
    """All values of an answer; what is said of every one of them is said once."""
    flags = {value.flag for value in answer.values}
    if len(flags) != 1:
        return "  ".join(value_figure(value) for value in answer.values)
    flag = flags.pop()
    if all(isnan(value.value) for value in answer.values):
        return flag or "no number"
    shown = "  ".join(value_figure(replace(value, flag="")) for value in answer.values)
    return f"{shown}  ({flag})" if flag else shown


def mean_figures(answers: Sequence[Answer]) -> str:
    """Mean, uncertainty and spread of each quantity of several answers to one question."""
    said = []
    for value in answers[0].values:
        every = [each.of(value.quantity) for each in answers]
        numbers = [each.value for each in every if each is not None and not isnan(each.value)]
        if not numbers:
            said.append(value_figure(value))
            continue
        text = figure(sum(numbers) / len(numbers), value.quantity)
        if not isnan(value.uncertainty):
            text += f" ± {format_quantity(value.uncertainty, UNITS[value.quantity], digits=2)}"
        if len(numbers) > 1:
            apart = format_quantity(spread(numbers), UNITS[value.quantity], digits=2)
            text += f" (spread {apart})"
        said.append(text)
    return "  ".join(said)


def rating(part: Part) -> str:
    """What is printed on it: "32 µF 450 V"; what is not known is left out."""
    known = ((part.capacitance_rated, "F"), (part.voltage_rated, "V"))
    said = [format_quantity(value, unit) for value, unit in known if not isnan(value)]
    return " ".join(said) or "rating not told"

"""Profiles, found instruments and tried meters, for a person or as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from math import isnan
from typing import TYPE_CHECKING, Final, TextIO

from captriage.columns import BENCH_QUANTITIES, QUANTITIES
from captriage.report.figures import NAMES
from captriage.report.terminal import Terminal, padded, safe
from captriage.units import format_quantity

if TYPE_CHECKING:
    from collections.abc import Mapping

UNITS: Final = {name: unit for name, (unit, _) in {**QUANTITIES, **BENCH_QUANTITIES}.items()}
DIGITS: Final = 6  # of a reading; its uncertainty has two
HEADINGS: Final = {
    "lcr bridge": "LCR bridges",
    "multimeter": "Multimeters",
    "supply": "Supplies",
    "person": "By hand",
    "other": "Classes of other packages",
}
FOLDED: Final = 24  # columns of the names in the list


@dataclass(frozen=True)
class MeterRow:
    """One profile, or one meter class of another package."""

    name: str
    title: str
    kind: str
    speaks: str
    functions: Mapping[str, Sequence[str]]  # name: quantities
    source: str  # "" for one that ships, else where it comes from
    problem: str = ""  # why it cannot be used


@dataclass(frozen=True)
class FoundRow:
    """Something at an address, or a reason why there is none to be seen."""

    address: str
    what: str
    identity: str = ""


@dataclass(frozen=True)
class TakenRow:
    """One reply: as it came, and each quantity with value, uncertainty and flag."""

    raw: str
    values: Sequence[tuple[str, float, float, str]]


@dataclass(frozen=True)
class TrialShown:
    """How trying a meter went."""

    address: str
    profile: str
    function: str
    identity: str
    taken: Sequence[TakenRow]
    problem: str
    causes: Sequence[str]
    thrown_away: int


@dataclass(frozen=True)
class Proof:
    """What does not hold in a profile, and what its transcripts are to give.

    A transcript is its function, what is to be read of it in SI, and why a number is not.
    """

    where: str
    problems: Sequence[str]
    transcripts: Sequence[tuple[str, Mapping[str, float], str]] = ()


def write_json(rows: Sequence[MeterRow], out: TextIO) -> None:
    """Write the profiles as one list of objects."""
    import json

    json.dump([asdict(row) for row in rows], out, ensure_ascii=False, indent=1)
    out.write("\n")


def write_table(rows: Sequence[MeterRow], out: TextIO) -> None:
    """Write the profiles by kind, two lines each."""
    page = Terminal(out)
    for kind in dict.fromkeys(row.kind for row in rows if not row.problem):
        page.heading(HEADINGS.get(kind, kind))
        for row in rows:
            if row.kind == kind and not row.problem:
                page.paragraph(row.title, first=f"  {padded(row.name, FOLDED)} ")
                page.paragraph(
                    ", ".join(row.functions), first=" " * (FOLDED + 3), rest=" " * (FOLDED + 3)
                )
                if row.source:
                    page.paragraph(f"from {row.source}", first=" " * (FOLDED + 3))
    broken = [row for row in rows if row.problem]
    if broken:
        page.heading("Cannot be used")
        page.items(row.problem for row in broken)
    page.line()
    page.paragraph(
        "Try one on your meter: captriage meters try ADDRESS --as PROFILE. The accuracy of those "
        "that ship is common practice; write that of your meter's manual into a copy."
    )


def write_sent(sentences: Sequence[str], out: TextIO) -> None:
    """Write what a scan is about to send."""
    page = Terminal(out)
    page.line("Looking for instruments.")
    page.items(sentences)
    out.flush()


def write_found(row: FoundRow, out: TextIO) -> None:
    """Write one thing that a scan found, as soon as it is found."""
    page = Terminal(out)
    if not row.address:
        page.paragraph(row.what, first="  - ")
        return
    page.line(safe(row.address))
    page.paragraph(f"{row.what}{f': {row.identity}' if row.identity else ''}", first="    ")


def write_trial(trial: TrialShown, out: TextIO) -> None:
    """Write who answered, each reply with what was understood, and what to do if it failed."""
    page = Terminal(out)
    page.line(f"{safe(trial.address)} as {trial.profile}: {trial.function}")
    if trial.identity:
        page.paragraph(trial.identity, first="identity    ")
    for row in trial.taken:
        page.paragraph(repr(row.raw)[1:-1], first="reply       ")
        for value in row.values:
            page.paragraph(understood(*value), first="understood  ")
    if trial.thrown_away:
        page.paragraph(
            f"lines that came late or unasked, and were not believed: {trial.thrown_away}",
            first="notice      ",
        )
    if trial.problem:
        page.paragraph(trial.problem, first="failed      ")
        page.items((f"{cause}" for cause in trial.causes), mark="do this     ")
    elif trial.taken:
        page.paragraph(
            "Hold this against the meter's own display before you trust it.", first="next        "
        )


def understood(quantity: str, value: float, uncertainty: float, flag: str) -> str:
    """One quantity of a reply in words: "capacitance 97.16 µF ± 0.56 µF"."""
    unit = UNITS[quantity]
    name = NAMES.get(quantity, quantity)
    if value != value:
        return f"{name}: no number ({flag or 'the meter means none'})"
    known = (
        f"± {format_quantity(uncertainty, unit, digits=2)}"
        if uncertainty == uncertainty
        else "(uncertainty not stated)"
    )
    # Zero has no sign here.
    text = f"{name} {format_quantity(value + 0.0, unit, digits=DIGITS)} {known}"
    return f"{text} ({flag})" if flag else text


def write_proof(proof: Proof, out: TextIO) -> None:
    """Write what does not hold in a profile, or that all of it does."""
    page = Terminal(out)
    if proof.problems:
        page.line(f"{safe(proof.where)}: does not hold.")
        page.items(proof.problems)
        return
    page.paragraph(f"{proof.where}: all of it holds.")
    width = max((len(function) for function, _, _ in proof.transcripts), default=0)
    for number, (function, reading, flag) in enumerate(proof.transcripts, 1):
        page.paragraph(proved(reading, flag), first=f"  {number:>2} {function:<{width}}  ")


def proved(reading: Mapping[str, float], flag: str) -> str:
    """What a transcript that holds has shown: numbers, or that none comes where none may."""
    figures = [
        f"{NAMES.get(quantity, quantity)} {format_quantity(value, UNITS[quantity], digits=DIGITS)}"
        for quantity, value in reading.items()
        if not isnan(value)
    ]
    if len(figures) < len(reading):
        without = ", ".join(NAMES.get(each, each) for each in reading if isnan(reading[each]))
        why = f" ({flag})" if flag else ""
        figures.append(f"no number{f' of {without}' if figures else ''}, as it should be{why}")
    return "gives " + ", ".join(figures)

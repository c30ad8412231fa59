"""What a bench book holds, for a person: jobs, and all that was kept of one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final, TextIO

from captriage.columns import BENCH_QUANTITIES, QUANTITIES
from captriage.report.figures import NAMES, NOT_GIVEN, duration, rating
from captriage.report.terminal import Terminal, padded, safe
from captriage.units import format_quantity

Row = dict[str, Any]

LISTED_AT_MOST: Final = 200  # rows of a kind; the JSON has them all
_UNITS: Final = {name: unit for name, (unit, _) in {**QUANTITIES, **BENCH_QUANTITIES}.items()}


@dataclass(frozen=True)
class BookList:
    """Jobs of a book, rows with the attributes of its lists as keys."""

    book: str
    jobs: Sequence[Row]


@dataclass(frozen=True)
class JobList:
    """All that a book holds of a job."""

    book: str
    job: Row
    parts: Sequence[Row]
    runs: Sequence[Row]
    readings: Sequence[Row]
    looks: Sequence[Row]
    events: Sequence[Row]
    strikes: Sequence[Row]
    verdicts: Sequence[Row]


def write_json(found: BookList | JobList, out: TextIO) -> None:
    """Write one object with all rows; what is not known is null."""
    from captriage.report.plain_data import write_object  # loads pandas

    write_object(_plain(asdict(found)), out)


def _plain(value: Any) -> Any:  # noqa: ANN401 - whatever JSON has
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    return None if value != value else value  # NaN


def write_table(found: BookList | JobList, out: TextIO) -> None:
    """Write lists for the terminal, 80 columns wide."""
    page = Terminal(out)
    if isinstance(found, BookList):
        write_jobs(found, page)
    else:
        write_job(found, page)


def write_jobs(found: BookList, page: Terminal) -> None:
    """A line a job."""
    if not found.jobs:
        page.paragraph(f"{found.book}: no job yet. Begin one: captriage book new JOB")
        return
    page.line(
        page.styled(f"{'job':<24}{'parts':>6}{'readings':>10}  {'begun':<12}machine", "quiet")
    )
    for job in found.jobs:
        page.line(
            f"{padded(job['name'], 23)} {job['parts']:>6}{job['readings']:>10}  "
            f"{job['utc'][:10]:<12}{padded(job['machine'], page.width - 54)}"
        )


def write_job(found: JobList, page: Terminal) -> None:
    """Parts, readings, looks, events, verdicts of a job, and what is struck out."""
    name, machine = safe(found.job["name"]), safe(found.job["machine"])
    page.line(page.styled(f"Job {name}{f': {machine}' if machine else ''}", "heading"))
    if found.job["note"]:
        page.paragraph(found.job["note"])
    counts = f"{_counted(len(found.parts), 'part')}, {_counted(len(found.readings), 'reading')}"
    page.line(f"{counts}. Times are UTC.")
    verdicts = {row["part_id"]: row for row in found.verdicts}  # the last of each part
    _section(page, "Parts", PART_HEAD, found.parts, lambda row: _part(row, verdicts))
    _section(page, "Readings", READING_HEAD, found.readings, _reading)
    _section(page, "Looks", LOOK_HEAD, found.looks, _look)
    _section(page, "What happened", EVENT_HEAD, found.events, _event)
    _section(page, "Struck out", STRIKE_HEAD, found.strikes, _strike)
    _section(page, "Runs", RUN_HEAD, found.runs, _run)


PART_HEAD: Final = f"{'no.':>6} {'part':<16}{'rating':<20}{'verdict':<12}given"
READING_HEAD: Final = f"{'no.':>6} {'part':<10}{'quantity':<12}{'value':<18}{'taken at':<14}when"
LOOK_HEAD: Final = f"{'no.':>6} {'part':<16}{'look':<18}seen"
EVENT_HEAD: Final = f"{'time':<20}{'part':<11}{'what':<12}text"
STRIKE_HEAD: Final = f"{'what':<9}{'no.':>6} {'time':<20}reason"
RUN_HEAD: Final = f"{'no.':>6} {'kind':<14}{'begun':<20}with"


def _section(
    page: Terminal,
    title: str,
    head: str,
    rows: Sequence[Row],
    shown: Callable[[Row], tuple[str, str]],
) -> None:
    """A heading, and a line a row; the last of its columns goes on below where it is long."""
    if not rows:
        return
    page.heading(title)
    page.line(page.styled(head, "quiet"))
    indent = " " * (head.rfind(" ") + 1)
    for row in rows[:LISTED_AT_MOST]:
        first, last = shown(row)
        if len(first) > len(indent):  # the line is full: what remains to be said goes below
            page.line(first)
            first = " " * 9
        if last:
            page.paragraph(last, first=first, rest=indent if len(first) == len(indent) else None)
        elif first.strip():
            page.line(first)
    if len(rows) > LISTED_AT_MOST:
        page.line(f"... and {len(rows) - LISTED_AT_MOST} more; --format json lists them all")


def _part(row: Row, verdicts: dict[int, Row]) -> tuple[str, str]:
    printed = rating(row["capacitance_rated"], row["voltage_rated"]) or NOT_GIVEN
    verdict = verdicts.get(row["id"])
    said, when = (verdict["verdict"], _time(verdict["utc"])) if verdict else (NOT_GIVEN, "")
    return f"{row['id']:>6} {padded(row['part'], 15)} {padded(printed, 19)} {said:<12}", when


def _reading(row: Row) -> tuple[str, str]:
    frequency, voltage, soak = row["frequency_hz"], row["voltage_v"], row["soak_s"]
    at = [
        "DC" if frequency == 0 else format_quantity(frequency, "Hz"),
        format_quantity(voltage, "V"),
        duration(soak),
    ]
    line = " ".join(
        [
            f"{row['id']:>6}",
            padded(row["part"] or NOT_GIVEN, 9),
            padded(NAMES.get(str(row["quantity"]), str(row["quantity"])), 11),
            padded(_value(row), 17),
            padded(", ".join(text for text in at if text != NOT_GIVEN), 13),
            _time(row["taken_at"] or row["utc"])[:16],
        ]
    )
    return line, "; ".join(text for text in (row["flag"], _struck(row)) if text)


def _value(row: Row) -> str:
    """Value with its uncertainty, or the bound, or what stood there instead."""
    unit = _UNITS[row["quantity"]]
    value, uncertainty = row["value"], row["uncertainty"]
    if value != value:
        for bound, sign in (("at_least", ">"), ("at_most", "<")):
            if row[bound] == row[bound]:
                return f"{sign} {format_quantity(row[bound], unit)}"
        return f"no number ({row['raw']})"
    shown = format_quantity(value, unit)
    return f"{shown} ± {format_quantity(uncertainty, unit)}" if uncertainty > 0 else shown


def _look(row: Row) -> tuple[str, str]:
    line = f"{row['id']:>6} {padded(row['part'], 15)} {padded(row['look'], 17)} "
    return line, "; ".join(text for text in (_time(row["utc"]), _struck(row)) if text)


def _event(row: Row) -> tuple[str, str]:
    line = f"{_time(row['utc']):<20}{padded(row['part'] or NOT_GIVEN, 10)} {row['kind']:<12}"
    return line, row["text"]


def _strike(row: Row) -> tuple[str, str]:
    return f"{row['what']:<9}{row['row_id']:>6} {_time(row['utc']):<20}", row["reason"]


def _run(row: Row) -> tuple[str, str]:
    line = f"{row['id']:>6} {row['kind']:<14}{_time(row['utc']):<20}"
    told = (row["meter"], row["profile"], row["address"], row["identity"], _struck(row))
    return line, ", ".join(text for text in told if text)


def _time(utc: str) -> str:
    return utc[:19].replace("T", " ")


def _struck(row: Row) -> str:
    return f"STRUCK OUT: {row['struck']}" if row["struck"] else ""


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"

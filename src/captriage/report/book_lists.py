"""What a bench book holds, for a person: jobs, and all that was kept of one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final, TextIO

from captriage.columns import BENCH_QUANTITIES, QUANTITIES
from captriage.report.figures import NAMES, NOT_GIVEN, duration, rating
from captriage.report.terminal import Terminal, safe
from captriage.report.text_columns import Line, write_columns
from captriage.units import format_quantity

Row = dict[str, Any]

NO_NUMBER: Final = "no number"
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
    lines = [
        Line(
            [job["name"], str(job["parts"]), str(job["readings"]), job["utc"][:10], job["machine"]]
        )
        for job in found.jobs
    ]
    write_columns(page, ("~job", ">parts", ">readings", "begun", "~machine"), lines)


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
    _section(page, "Struck out", STRIKE_HEAD, list(_strikes(found)), _strike)
    _section(page, "Runs", RUN_HEAD, found.runs, _run)


PART_HEAD: Final = (">part no.", "~part", "rating", "verdict", "given")
READING_HEAD: Final = (">answer", "~part", "quantity", "value", "taken at", "when")
LOOK_HEAD: Final = (">look no.", "~part", "look", "seen")
EVENT_HEAD: Final = ("time", "~part", "what", "~text")
STRIKE_HEAD: Final = ("what", "time", "~reason")
RUN_HEAD: Final = (">run no.", "kind", "begun", "~with")


def _section(
    page: Terminal,
    title: str,
    head: Sequence[str],
    rows: Sequence[Row],
    line: Callable[[Row], Line],
) -> None:
    """A heading, and a line a row."""
    if not rows:
        return
    page.heading(title)
    write_columns(page, head, [line(row) for row in rows[:LISTED_AT_MOST]])
    if len(rows) > LISTED_AT_MOST:
        page.line(f"... and {len(rows) - LISTED_AT_MOST} more; --format json lists them all")


def _part(row: Row, verdicts: dict[int, Row]) -> Line:
    verdict = verdicts.get(row["id"])
    said, when = (verdict["verdict"], _time(verdict["utc"])) if verdict else (NOT_GIVEN, "")
    return Line([str(row["id"]), row["part"], _rating(row) or NOT_GIVEN, said, when])


def _rating(row: Row) -> str:
    return rating(row["capacitance_rated"], row["voltage_rated"])


def answer_number(row: Row) -> str:
    """Number of the answer that a reading is of, as the log shows it: "2.7", run and answer."""
    return f"{row['run_id']}.{row['answer']}"


def _reading(row: Row) -> Line:
    at = [
        "DC" if row["frequency_hz"] == 0 else format_quantity(row["frequency_hz"], "Hz"),
        format_quantity(row["voltage_v"], "V"),
        duration(row["soak_s"]),
    ]
    cells = [
        answer_number(row),
        row["part"] or NOT_GIVEN,
        NAMES.get(str(row["quantity"]), str(row["quantity"])),
        value_words(row),
        ", ".join(text for text in at if text != NOT_GIVEN),
        _time(row["taken_at"] or row["utc"])[:16],
    ]
    unsaid = f"it came as {row['raw']!r}" if NO_NUMBER in cells and not row["flag"] else ""
    return Line(cells, "; ".join(text for text in (row["flag"], unsaid, _struck(row)) if text))


def value_words(row: Row) -> str:
    """Value of a reading with its uncertainty, or the bound, or what stood there instead."""
    unit = _UNITS[row["quantity"]]
    value, uncertainty = row["value"], row["uncertainty"]
    if value != value:
        for bound, sign in (("at_least", ">"), ("at_most", "<")):
            if row[bound] == row[bound]:
                return f"{sign} {format_quantity(row[bound], unit)}"
        return NO_NUMBER
    shown = format_quantity(value, unit)
    known = uncertainty > 0
    return f"{shown} ± {format_quantity(uncertainty, unit, digits=2)}" if known else shown


def _look(row: Row) -> Line:
    return Line([str(row["id"]), row["part"], row["look"], _time(row["utc"])], _struck(row))


def _event(row: Row) -> Line:
    return Line([_time(row["utc"]), row["part"] or NOT_GIVEN, row["kind"], row["text"]])


def _strikes(found: JobList) -> Iterator[Row]:
    """What was struck out; the readings of one answer that one reason struck are told as one."""
    readings = {row["id"]: row for row in found.readings}
    whole = Counter(map(answer_number, found.readings))
    answers: dict[tuple[str, str], list[Row]] = {}
    for strike in found.strikes:
        row = readings.get(strike["row_id"]) if strike["what"] == "reading" else None
        if row is not None:
            answers.setdefault((answer_number(row), strike["reason"]), []).append(row)
    for strike in found.strikes:
        row = readings.get(strike["row_id"]) if strike["what"] == "reading" else None
        if row is None:
            yield strike | {"what": f"{strike['what']} {strike['row_id']}"}
            continue
        number = answer_number(row)
        struck = answers.pop((number, strike["reason"]), None)
        if struck is not None:
            yield strike | {"what": answer_words(struck, whole=len(struck) == whole[number])}


def answer_words(readings: Sequence[Row], *, whole: bool) -> str:
    """What is struck out of an answer: "answer 2.7", or "answer 2.7 (ESR)" where not all is."""
    names = ", ".join(NAMES.get(str(row["quantity"]), str(row["quantity"])) for row in readings)
    return f"answer {answer_number(readings[0])}{'' if whole else f' ({names})'}"


def answer_told(readings: Sequence[Row]) -> str:
    """An answer with what it gave: "answer 2.7 of D2: capacitance 18.3 µF, ESR 5.49 Ω"."""
    of = f" of {readings[0]['part']}" if readings[0]["part"] else ""
    gave = ", ".join(
        f"{NAMES.get(str(row['quantity']), str(row['quantity']))} {value_words(row)}"
        for row in readings
    )
    return f"answer {answer_number(readings[0])}{of}: {gave}"


def row_told(what: str, row: Row, *, readings: int) -> str:
    """A look, part or run with what it is, and how many readings it has."""
    if what == "look":
        return f"look {row['id']} of {row['part']}: {row['look']}"
    with_it = f", with {_counted(readings, 'reading')}"
    if what == "part":
        return f"part {row['id']}: {row['part']} {_rating(row)}".rstrip() + with_it
    return f"run {row['id']}: {row['kind']}, begun {_time(row['utc'])}{with_it}"


def _strike(row: Row) -> Line:
    return Line([row["what"], _time(row["utc"]), row["reason"]])


def _run(row: Row) -> Line:
    told = (row["meter"], row["profile"], row["address"], row["identity"])
    cells = [
        str(row["id"]),
        row["kind"],
        _time(row["utc"]),
        ", ".join(text for text in told if text),
    ]
    return Line(cells, _struck(row))


def _time(utc: str) -> str:
    return utc[:19].replace("T", " ")


def _struck(row: Row) -> str:
    return f"STRUCK OUT: {row['struck']}" if row["struck"] else ""


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"

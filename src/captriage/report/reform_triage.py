"""What the logs of many reforming runs say, in one table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite
from typing import Final, TextIO

from captriage.reform.curves import ADVICE, FALLING
from captriage.reform.plan_cautions import DEADLY
from captriage.report.figures import rating as rating_words
from captriage.report.plain_data import write_object
from captriage.report.read_curve import ReadCurve, Unread
from captriage.report.reform_progress import as_object
from captriage.report.reform_words import beside, hours, hours_between, how_sure
from captriage.report.terminal import Terminal
from captriage.report.text_columns import Line, write_columns
from captriage.units import format_quantity

HEADS: Final = ("log", "rating", "~state", ">sure", ">now", ">limit")


def write_table(found: Sequence[ReadCurve | Unread], out: TextIO) -> None:
    """Write a line a log, what could not be read below it, and how many call for what."""
    page = Terminal(out)
    page.paragraph(DEADLY)
    page.line()
    write_columns(page, HEADS, [_line(each) for each in found])
    page.line()
    page.paragraph(counted(found))


def _line(each: ReadCurve | Unread) -> Line:
    if isinstance(each, Unread):
        return Line((each.file, "", "cannot be used", "", "", ""), each.why)
    progress, rating = each.progress, each.rating
    now = progress.steps[-1].leakage_a if progress.steps else float("nan")
    return Line(
        (
            each.file,
            rating_words(rating.capacitance_rated, rating.voltage_rated),
            progress.state,
            how_sure(progress),
            format_quantity(now, "A"),
            format_quantity(progress.limit_a, "A"),
        ),
        "; ".join((f"> {progress.advice}{_never(each)}{_when(each)}", *_beside(each))),
    )


def _never(each: ReadCurve) -> str:
    """What is added for a part that was seen to be damaged."""
    return ": put no voltage on it" if each.is_condemned else ""


def _beside(each: ReadCurve) -> Iterator[str]:
    """What must not go unseen, and why its end may not be believed."""
    yield from (f"WARNING: {warning}" for warning in each.warnings)
    yield from (f"not sure: {doubt}" for doubt in each.doubts if doubt not in each.warnings)


def _when(each: ReadCurve) -> str:
    """When the limit is reached, from the end of the log, with its 90 % interval."""
    progress = each.progress
    if progress.state != FALLING or not progress.forecast_s > 0:
        return ""
    now = progress.steps[-1].ends_s
    low, middle, high = (
        max(at - now, 0.0)
        for at in (progress.forecast_low_s, progress.forecast_s, progress.forecast_high_s)
    )
    if not isfinite(middle):
        return f"; it may never reach the limit, and not within {hours(low)}"
    return f"; it reaches the limit in {beside(middle, high)} (90 %: {hours_between(low, high)})"


def counted(found: Sequence[ReadCurve | Unread]) -> str:
    """How many logs call for what."""
    read = [each for each in found if isinstance(each, ReadCurve)]
    counts = [(word, sum(1 for each in read if each.progress.advice == word)) for word in ADVICE]
    said = [f"{number} {word}" for word, number in counts if number]
    unread = len(found) - len(read)
    if unread:
        said.append(f"{unread} cannot be used")
    logs = "1 log" if len(found) == 1 else f"{len(found)} logs"
    return f"{logs}: {', '.join(said)}."


def write_json(found: Sequence[ReadCurve | Unread], out: TextIO) -> None:
    """Write one object with a list of logs, each as "reform read" gives it, or why not."""
    write_object(
        {
            "logs": [
                as_object(each)
                if isinstance(each, ReadCurve)
                else {"file": each.file, "error": each.why}
                for each in found
            ]
        },
        out,
    )

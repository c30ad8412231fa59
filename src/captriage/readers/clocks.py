"""When each row was read, and how long the voltage had been on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.dates import YEAR, Instants, Times
from captriage.readers.layout import Table
from captriage.readers.preamble import Said
from captriage.readers.series import Series
from captriage.readers.times import read_times


@dataclass
class When:
    """Row by row: elapsed time, clock on a common scale, instant, and what is to be said of it."""

    soak: NDArray[np.float64]
    seconds: NDArray[np.float64]
    taken_at: Instants
    flag: NDArray[np.object_]
    known: bool = field(default=False)


COLUMNS = frozenset((words.TIME, words.CLOCK, words.DATE, "taken_at"))


def read_when(table: Table, series: Sequence[Series], aside: Aside) -> When:
    """Times of all rows of a table from its columns and from the lines above it."""
    n = len(table.lines)
    when = When(
        np.full(n, np.nan),
        np.full(n, np.nan),
        np.full(n, "NaT", "datetime64[us]"),
        np.full(n, "", object),
    )
    own = {one.column: one for one in series if one.column in COLUMNS}
    if words.DATE in own:
        own[words.DATE] = _without_years(own[words.DATE], table, aside)
    date, clock = own.get(words.DATE), own.get(words.CLOCK) or own.get(words.TIME)
    if date is not None and clock is not None and _is_clock(clock.texts):
        texts = [f"{d} {c}".strip() for d, c in zip(date.texts, clock.texts, strict=True)]
        _take(when, table, date, read_times(texts), aside, shown=texts)
        return when
    for one in own.values():
        times = read_times(one.texts, unit=one.heading.unit, decimal=table.decimal)
        if one is date:
            times.seconds[:] = np.nan  # the day of a reading is no time since switching on
        _take(when, table, one, times, aside)
    if words.DATE in table.said and np.isnat(when.taken_at).all():
        _date_above(when, table, table.said[words.DATE], aside)
    return when


def _without_years(one: Series, table: Table, aside: Aside) -> Series:
    """The dates without the cells that hold a year only, which are set aside."""
    years = {text for text in set(one.texts) if YEAR(text)}
    if not years:
        return one
    held = [k for k, text in enumerate(one.texts) if text in years]
    aside.add_cells(
        table.file,
        table.lines[one.rows[held]],
        [one.texts[k] for k in held],
        "a year only, which does not say when it was read",
        "if it is the year of making, call the column 'made'",
        column=one.number,
        heading=one.heading.text,
    )
    return replace(one, texts=["" if text in years else text for text in one.texts])


def _is_clock(texts: Sequence[str]) -> bool:
    filled = [text for text in texts if text.strip()][:20]
    return bool(filled) and all(":" in text for text in filled)


def _take(
    when: When,
    table: Table,
    one: Series,
    times: Times,
    aside: Aside,
    *,
    shown: Sequence[str] | None = None,
) -> None:
    rows = one.rows
    for target, new in (
        (when.soak, times.elapsed),
        (when.seconds, np.where(np.isnan(times.elapsed), times.seconds, np.nan)),
    ):
        known = ~np.isnan(new)
        target[rows[known]] = new[known]
    known = ~np.isnat(times.instants)
    when.taken_at[rows[known]] = times.instants[known]
    when.flag[rows] = times.flag
    when.known = True
    for k, (reason, remedy) in times.problems.items():
        aside.add(
            table.file,
            int(table.lines[rows[k]]),
            column=one.number,
            heading=one.heading.text,
            found=(shown or one.texts)[k],
            reason=reason,
            remedy=remedy,
        )


def _date_above(when: When, table: Table, said: Said, aside: Aside) -> None:
    """The date of the preamble, for rows that have none; a clock of day is added to it."""
    times = read_times([said.text])
    if times.problems:
        reason, remedy = times.problems[0]
        aside.add(
            table.file,
            said.line,
            column=said.column,
            heading=said.heading,
            found=said.text,
            reason=reason,
            remedy=remedy,
        )
        return
    day = times.instants[0]
    of_day = np.nan_to_num(when.seconds)
    when.taken_at[:] = day + (of_day * 1e6).astype("timedelta64[us]")

"""What is shown while the work goes on: lines that stay, one that changes, and a picture."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Final, TextIO

from captriage.report.figures import duration
from captriage.report.terminal import Terminal, padded, safe, text_width
from captriage.units import format_quantity

STATUS_EVERY_S: Final = 0.2
"""A line that changes more often cannot be read, and costs."""


TAKEN_EVERY_S: Final = 0.05
"""Lines that come more often, for hours, are read by nobody."""

LABEL: Final = 7
"""Columns of the word before a sentence."""


class Screen:
    """A stream for the person at the bench, at a terminal or not.

    Parameters
    ----------
    out : TextIO
        Every line is written out at once. At a terminal there is also a last line that
        changes, and a bell.
    now : callable
        Seconds that only ever grow.
    """

    def __init__(self, out: TextIO, *, now: Callable[[], float] = time.monotonic) -> None:
        self.out = out
        self.live = out.isatty()
        self.page = Terminal(out)
        self._now = now
        self._status = False
        self._status_at = self._taken_at = -math.inf
        self._drawn = 0  # lines of the picture above the cursor

    def line(self, text: str = "") -> None:
        """A line that stays; written out when this returns."""
        self._clear()
        self._drawn = 0
        if self.live and text_width(text) > self.page.width:
            self.page.paragraph(text, rest=" " * LABEL)
        else:  # elsewhere a line is a line: it may be searched
            self.out.write(safe(text).rstrip() + "\n")
        self.out.flush()

    def tell(self, label: str, text: str) -> None:
        """A sentence that stays, wrapped to the width after a word that says what it is about."""
        self._clear()
        self._drawn = 0
        self.page.paragraph(text, first=f"{label:<{LABEL}}")
        self.out.flush()

    def command(self, words: Sequence[str]) -> None:
        """A command that stays, to be copied as it stands."""
        self._clear()
        self._drawn = 0
        self.page.command(words, first=" " * LABEL)
        self.out.flush()

    def taken(self, text: Callable[[], str]) -> None:
        """One of very many lines, made where it is shown: not more than can be read are.

        At a terminal the next takes its place, elsewhere each stays.
        """
        now = self._now()
        if now - self._taken_at < TAKEN_EVERY_S:
            return
        self._taken_at = now
        if self.live:
            self.status(text())
        else:
            self.out.write(f"{safe(text())}\n")
            self.out.flush()

    def write(self, text: str) -> None:
        """A prompt, after which the person types."""
        self._clear()
        self._drawn = 0
        self.out.write(text)
        self.out.flush()

    def status(self, text: str) -> None:
        """What is going on now, in place of what was before; at a terminal only."""
        now = self._now()
        if not self.live or now - self._status_at < STATUS_EVERY_S:
            return
        self._status_at = now
        self.out.write(f"\r\x1b[K{padded(text, self.page.width - 1).rstrip()}")
        self.out.flush()
        self._status = True

    def picture(self, lines: Sequence[str]) -> None:
        """A picture, in place of the one before it where nothing was written since."""
        self._clear()
        up = f"\x1b[{self._drawn}A\x1b[J" if self.live and self._drawn else ""
        self.out.write(up + "".join(f"{each}\n" for each in lines))
        self.out.flush()
        self._drawn = len(lines)

    def bell(self) -> None:
        """A sound, at a terminal."""
        if self.live:
            self.out.write("\a")
            self.out.flush()

    def _clear(self) -> None:
        """Take the changing line away."""
        if self._status:
            self.out.write("\r\x1b[K")
            self._status = False


class LeakageView:
    """The curve of a soak: drawn anew with each reading at a terminal, now and then elsewhere.

    Parameters
    ----------
    screen : Screen
        Where to.
    until_s : float
        End of the time axis. [s]
    limit : sequence of (float, float)
        Soak time [s] and limit [A], ascending in time.
    """

    def __init__(
        self, screen: Screen, *, until_s: float, limit: Sequence[tuple[float, float]]
    ) -> None:
        self.screen, self.until_s, self.limit = screen, until_s, limit

    def reading(self, text: str, points: Sequence[tuple[float, float]], *, due: bool) -> None:
        """A reading that is on the disk, and the curve so far; ``due`` at times of a limit."""
        live = self.screen.live
        if not live:
            self.screen.line(text)
        if live or due:
            times, currents = zip(*points, strict=True) if points else ((), ())
            drawn = leakage_picture(
                times,
                currents,
                until_s=self.until_s,
                limit=self.limit,
                width=min(WIDTH, self.screen.page.width) if live else WIDTH,
            )
            self.screen.picture([*drawn, text] if live else drawn)


HEIGHT: Final = 14
WIDTH: Final = 80
MARGIN: Final = 9  # columns left of the frame
FIRST_S: Final = 1.0  # where the time axis begins; before, a part is charging


def leakage_picture(
    times_s: Sequence[float],
    currents: Sequence[float],
    *,
    until_s: float,
    limit: Sequence[tuple[float, float]] = (),
    width: int = WIDTH,
    height: int = HEIGHT,
) -> list[str]:
    """Leakage current against soak time on logarithmic axes, in text.

    Parameters
    ----------
    times_s, currents : sequence of float
        What was read; what is no number above nought is left out, and so is the first
        second, in which the part is charged. [s], [A]
    until_s : float
        End of the time axis. [s]
    limit : sequence of (float, float)
        Soak time [s] and limit [A], ascending in time; drawn between its ends, and no further.
    width, height : int
        Columns and lines.

    Returns
    -------
    list of str
        Lines of at most ``width`` columns: "*" a reading, "-" the limit, "#" a reading on the
        limit. ASCII but for the units.
    """
    first = min(FIRST_S, until_s / 10)
    read = [(t, i) for t, i in zip(times_s, currents, strict=True) if t >= first and i > 0]
    bound = [(t, i) for t, i in limit if first <= t <= until_s and i > 0]
    every = [i for _, i in (*read, *bound) if math.isfinite(i)]
    if not every:
        return ["no current to draw yet"]
    columns, rows = width - MARGIN - 2, height - 3
    across = _scale(math.log10(first), math.log10(until_s), columns)
    low, high = _decades(min(every), max(every))
    down = _scale(high, low, rows)
    cells = [[" "] * columns for _ in range(rows)]
    for t, i in _drawn_through(bound, across, columns):
        cells[down(math.log10(i))][across(math.log10(t))] = "-"
    for t, i in read:
        cell = cells[down(math.log10(i))]
        at = across(math.log10(t))
        cell[at] = "#" if cell[at] in "-#" else "*"
    labels = {down(power): format_quantity(10.0**power, "A") for power in range(low, high + 1)}
    frame = [f"{labels.get(row, ''):>{MARGIN - 1}} |{''.join(cells[row])}" for row in range(rows)]
    return [
        *(line.rstrip() for line in frame),
        " " * MARGIN + "+" + "-" * columns,
        _time_marks(across, first, until_s, columns),
        " " * MARGIN + " time at voltage;  * read  - limit" + _of_limit(limit, drawn=bool(bound)),
    ]


def _of_limit(limit: Sequence[tuple[float, float]], *, drawn: bool) -> str:
    """Why no limit is to be seen."""
    if drawn:
        return ""
    if not limit:
        return " (none known)"
    begins_s, most = limit[0]
    return f" ({format_quantity(most, 'A')}, from {duration(begins_s)} on)"


def _scale(first: float, last: float, cells: int) -> Callable[[float], int]:
    """Cell of a number between two others that stand in the first and the last cell."""

    def at(number: float) -> int:
        share = (number - first) / (last - first)
        return min(max(round(share * (cells - 1)), 0), cells - 1)

    return at


def _decades(least: float, most: float) -> tuple[int, int]:
    """Powers of ten around these."""
    low, high = math.floor(math.log10(least)), math.ceil(math.log10(most))
    return (low, high) if high > low else (low, low + 1)


def _drawn_through(
    points: Sequence[tuple[float, float]], across: Callable[[float], int], columns: int
) -> list[tuple[float, float]]:
    """Points of a line in every column between its ends, straight on logarithmic axes."""
    line = list(points)
    for (t1, i1), (t2, i2) in pairwise(points):
        steps = across(math.log10(t2)) - across(math.log10(t1))
        for step in range(1, min(steps, columns)):
            share = step / steps
            line.append((t1 * (t2 / t1) ** share, i1 * (i2 / i1) ** share))
    return line


def _time_marks(across: Callable[[float], int], first: float, until_s: float, columns: int) -> str:
    """Times below the axis, as many as have room."""
    marks = [" "] * (columns + MARGIN + 2)
    free = 0
    for seconds in (1, 2, 5, 10, 20, 60, 120, 300, 600, 1800, 3600, 7200, 18000, 36000, 86400):
        if not first <= seconds <= until_s:
            continue
        text = f"{seconds // 60:g} min" if seconds >= 60 else f"{seconds} s"
        at = min(MARGIN + 1 + across(math.log10(seconds)), len(marks) - len(text))
        if at >= free:
            marks[at : at + len(text)] = text
            free = at + len(text) + 2
    return "".join(marks).rstrip()

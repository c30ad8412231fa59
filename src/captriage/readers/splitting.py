"""From text to a grid of cells: which sign divides them, and on which line each row stands."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from captriage.readers.text import MAX_LINE

if TYPE_CHECKING:
    from _csv import Reader

SAMPLE_LINES: Final = 200
HEAD_LINES: Final = 1000
"""Lines of a large sheet that are always kept row by row, to look for headings in."""

LINES_AT_ONCE: Final = 2000

MAX_BROKEN: Final = 50
SPACES: Final = "  "
"""Stands for columns that are lined up with runs of spaces."""

_SEP_LINE: Final = re.compile(r'^"?sep=(.)"?[ ,;\t]*$', re.IGNORECASE)
_RUN: Final = re.compile(r"[ \t]{2,}")


@dataclass(frozen=True)
class Trouble:
    """A line that could not be divided as it stands."""

    line: int
    found: str
    reason: str
    remedy: str


@dataclass(frozen=True)
class Grid:
    """Cells of one sheet as text.

    ``lines[i]`` is the line (in a workbook: the row) on which ``rows[i]`` begins, from 1.
    ``tail`` holds, column by column, the lines behind ``rows`` where all of them have the same
    number of cells: a large sheet is a few lists and not a list a row.
    ``quoted`` is false where no cell can hold the delimiter; ``cut`` says that the last line has
    no line end, so its last cell may be incomplete.
    """

    file: str
    rows: list[list[str]]
    lines: NDArray[np.int64]
    delimiter: str = ","
    cut: bool = False
    troubles: list[Trouble] = field(default_factory=list)
    stem: str = ""
    quoted: bool = True
    tail: list[list[str]] = field(default_factory=list)


def row_by_row(grid: Grid) -> Grid:
    """The same grid without a tail of columns."""
    if not grid.tail:
        return grid
    rows = [*grid.rows, *map(list, zip(*grid.tail, strict=True))]
    return replace(grid, rows=rows, tail=[])


def split(
    text: str, file: str, *, headings_in: Callable[[Sequence[str]], int], stem: str = ""
) -> Grid:
    r"""Divide the text of a sheet into cells.

    Parameters
    ----------
    text : str
        With ``\n`` line ends.
    file : str
        What messages call it.
    headings_in : callable
        How many cells of a row are known headings: the sign that shows most of them is the
        one the sheet was written with.

    Returns
    -------
    Grid
        Blank lines are kept as empty rows. Lines longer than :data:`MAX_LINE` and quotes that
        never close are in ``troubles``.
    """
    lines = text.split("\n")
    cut = bool(lines[-1])
    if not lines[-1]:
        lines.pop()
    troubles: list[Trouble] = []
    if max(map(len, lines), default=0) > MAX_LINE:
        lines = [_short(line, n, troubles) for n, line in enumerate(lines, 1)]
    said = _SEP_LINE.match(lines[0]) if lines else None
    if said:
        lines[0] = ""
    delimiter = said.group(1) if said else find_delimiter(lines, headings_in=headings_in)
    quoted = '"' in text
    tail: list[list[str]] = []
    if delimiter == SPACES:
        rows, starts = _lined_up(lines)
    elif quoted or delimiter == " " or f"{delimiter} " in text:
        rows, starts = _quoted(lines, delimiter, troubles)
    else:
        tail = _columns(lines[HEAD_LINES:], delimiter)
        head = lines[:HEAD_LINES] if tail else lines
        rows, _ = _quoted(head, delimiter, troubles)
        rows += [[]] * (len(head) - len(rows))  # blank lines at the end give no row of their own
        starts = np.arange(1, len(lines) + 1)
    return Grid(file, rows, starts, delimiter, cut, troubles, stem or file, quoted, tail)


def _columns(lines: Sequence[str], delimiter: str) -> list[list[str]]:
    """Columns of lines that all have the same number of cells, [] for others.

    A few lines at a time, then each column made anew in one go: cells of one column lie side by
    side in memory then, and whoever reads down the column finds them in the processor's cache.
    """
    if not lines:
        return []
    width = lines[0].count(delimiter) + 1
    turn = width + 1  # each line end becomes a cell of its own, and must stand in its place
    blocks: list[list[str]] = [[] for _ in range(width)]
    for start in range(0, len(lines), LINES_AT_ONCE):
        block = lines[start : start + LINES_AT_ONCE]
        cells = f"{delimiter}\n{delimiter}".join(block).split(delimiter)
        ends = cells[width::turn]
        if len(cells) != len(block) * turn - 1 or ends.count("\n") != len(block) - 1:
            return []
        for j, column in enumerate(blocks):
            column.append("\n".join(cells[j::turn]))
    return ["\n".join(column).split("\n") for column in blocks]


def _short(line: str, number: int, troubles: list[Trouble]) -> str:
    if len(line) <= MAX_LINE:
        return line
    troubles.append(
        Trouble(
            number,
            line[:80] + "…",
            f"a line of {len(line)} characters; at most {MAX_LINE} are read",
            "write one row a line",
        )
    )
    return ""


def find_delimiter(lines: Sequence[str], *, headings_in: Callable[[Sequence[str]], int]) -> str:
    """The sign that divides the cells: the one under which a line shows most known headings.

    Ties go to the sign that gives most lines the same number of cells (more than one), then to
    the rarer sign in running text: tab, semicolon, bar, comma. Runs of spaces, then single spaces,
    divide only where none of these does.
    """
    sample = list(islice((line for line in lines if line.strip()), SAMPLE_LINES))
    best, best_score = ",", (0, 0.0)
    for delimiter in ("\t", ";", "|", ",", SPACES, " "):
        rows = _sample_rows(sample, delimiter)
        counts = Counter(len(row) for row in rows)
        divided = {cells: n for cells, n in counts.items() if cells > 1}
        if not divided:
            continue
        same = max(divided.values()) / len(rows)
        known = max(headings_in(row) for row in rows[:60])
        if delimiter in (SPACES, " ") and (known == 0 or best_score[0] >= 2):
            continue
        if (known, round(same, 6)) > best_score:
            best, best_score = delimiter, (known, round(same, 6))
    return best


def _sample_rows(sample: Sequence[str], delimiter: str) -> list[list[str]]:
    if delimiter == SPACES:
        return [_RUN.split(line.strip()) for line in sample]
    if delimiter == " ":
        return [line.split() for line in sample]
    try:
        return [row for row in _reader(sample, delimiter, strict=False) if row]
    except csv.Error:
        return [line.split(delimiter) for line in sample]


def _reader(lines: Sequence[str], delimiter: str, *, strict: bool = True) -> Reader:
    return csv.reader(
        io.StringIO("\n".join(lines), newline="\n"),
        delimiter=delimiter,
        skipinitialspace=True,
        strict=strict,
    )


def _quoted(
    lines: list[str], delimiter: str, troubles: list[Trouble]
) -> tuple[list[list[str]], NDArray[np.int64]]:
    """Rows and the line each begins on; a line whose quote never closes is read without quotes."""
    rows: list[list[str]] = []
    starts: list[NDArray[np.int64]] = []
    first = broken = 0
    while first < len(lines):
        if broken > MAX_BROKEN:  # each break costs a fresh start: from here on, line by line
            rows.extend(_one_line(line, delimiter) for line in lines[first:])
            starts.append(np.arange(first + 1, len(lines) + 1))
            break
        reader = _reader(lines[first:] if first else lines, delimiter)
        done = len(rows)
        try:
            rows.extend(reader)
        except csv.Error:
            begin = _where_it_broke(lines, first, delimiter, len(rows) - done)
        else:
            begin = len(lines)
        starts.append(_starts(lines, first, begin, delimiter, len(rows) - done))
        if begin < len(lines):
            broken += 1
            rows.append(_one_line(lines[begin], delimiter))
            starts.append(np.array([begin + 1]))
            if lines[begin].count('"') % 2:
                troubles.append(_open_quote(begin + 1, lines[begin]))
        first = begin + 1
    return rows, np.concatenate(starts) if starts else np.empty(0, np.int64)


def _one_line(line: str, delimiter: str) -> list[str]:
    if line.count('"') % 2:
        return [cell.strip(' "') for cell in line.split(delimiter)]
    return next(iter(_reader([line], delimiter, strict=False)), [])


def _open_quote(line: int, found: str) -> Trouble:
    return Trouble(
        line,
        found,
        "a quotation mark that is not closed",
        'the line was divided without regard to it; inside a cell, write it twice ("")',
    )


def _starts(
    lines: list[str], first: int, end: int, delimiter: str, count: int
) -> NDArray[np.int64]:
    """Line numbers of ``count`` rows read from lines ``first`` to ``end``."""
    if count == end - first:
        return np.arange(first + 1, end + 1)
    reader = _reader(lines[first:end], delimiter, strict=False)
    starts, before = [], 0
    for _ in islice(reader, count):
        starts.append(first + before + 1)
        before = reader.line_num
    return np.array(starts, np.int64)


def _where_it_broke(lines: list[str], first: int, delimiter: str, good: int) -> int:
    reader = _reader(lines[first:], delimiter)
    for _ in islice(reader, good):
        pass
    return first + reader.line_num


def _lined_up(lines: list[str]) -> tuple[list[list[str]], NDArray[np.int64]]:
    """Cells of columns lined up with spaces, each put under the heading it stands below.

    The widest line among the first ones that divides into most cells gives the columns; a line
    with fewer cells has blanks, found by where its cells stand. What stands under no column or
    under two is left in one cell, so that it is reported and not shifted.
    """
    spans = [[(m.start(), m.end()) for m in _CELL.finditer(line)] for line in lines]
    width = Counter(len(span) for span in spans if len(span) > 1).most_common(1)
    head = next((span for span in spans if width and len(span) == width[0][0]), [])
    rows = []
    for line, span in zip(lines, spans, strict=True):
        cells = [line[a:b] for a, b in span]
        if span and 1 < len(span) < len(head):
            cells = _under(cells, span, head) or [line.strip()]
        rows.append(cells)
    return rows, np.arange(1, len(lines) + 1)


_CELL: Final = re.compile(r"\S+(?:[ ]\S+)*")


def _under(
    cells: list[str], spans: list[tuple[int, int]], head: list[tuple[int, int]]
) -> list[str]:
    placed = [""] * len(head)
    for cell, (a, b) in zip(cells, spans, strict=True):
        below = [i for i, (c, d) in enumerate(head) if a < d and c < b]
        if len(below) != 1 or placed[below[0]]:
            return []
        placed[below[0]] = cell
    return placed

"""Which part a log of a reforming run is of, and what is told of the part beside the log."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import nan
from os import PathLike
from pathlib import Path
from typing import Final

import pandas as pd

from captriage.errors import MarkingError, ReadingsError
from captriage.jobs.sheets import check, parts_of_marking
from captriage.readers.curve_logs import CurveLog
from captriage.readers.curve_preamble import without_retest
from captriage.readers.markings import parse_rating
from captriage.report.figures import rating as rating_words

ENDINGS: Final = (".csv", ".tsv", ".txt", ".log", ".dat", ".xlsx")
"""Files of a folder that are taken for logs."""

SAME_RATING: Final = 0.02
"""Share by which two ratings may differ and be the same; a digit more in print. Ours."""


@dataclass(frozen=True)
class Told:
    """What is told beside a log; it beats what the log says of itself.

    Attributes
    ----------
    rating, made : str
        As printed on the part: "32 µF 450 V", "1959" or a date code.
    voltage_working : float
        Highest that its circuit puts on it, where that is enough. [V]
    series_ohm, supply_v, limit_a, floor_a : float
        Resistor, constant supply, limit of leakage in place of the policy's, and uncertainty of
        the meter that does not shrink with the reading. [Ω], [V], [A], [A]
    columns : str
        Headings of a log without them.
    worksheet : str or None
        Of a workbook.
    """

    rating: str = ""
    made: str = ""
    voltage_working: float = nan
    series_ohm: float = nan
    supply_v: float = nan
    limit_a: float = nan
    floor_a: float = 0.0
    columns: str = ""
    worksheet: str | None = None


NOTHING_TOLD: Final = Told()


def logs_in(paths: Iterable[str | PathLike[str]]) -> list[Path]:
    """Logs that are named, and those of folders in the order of their names.

    Raises
    ------
    ReadingsError
        What is named is not there, a folder holds no file that may be a log, or nothing is named.
    """
    found: list[Path] = []
    for path in map(Path, paths):
        if not path.exists():  # what would speak against a part must not go by a slip of the name
            raise ReadingsError(f"{path}: no such file or folder; check the name")
        if not path.is_dir():
            found.append(path)
            continue
        inside = sorted(each for each in path.iterdir() if each.suffix.lower() in ENDINGS)
        if not inside:
            raise ReadingsError(f"{path}: no log in it; logs end in {', '.join(ENDINGS)}")
        found += inside
    if not found:
        raise ReadingsError("logs: none was named; name at least one, or a folder of them")
    return found


def parts_by_name(
    ratings: Sequence[str | PathLike[str]], *, today_year: int
) -> Mapping[str, pd.DataFrame]:
    """Parts of sheets, one row each, by their name in small letters."""
    if not ratings:
        return {}
    parts = check(list(ratings), today_year=today_year).parts
    return {folded(name): parts.iloc[[row]] for row, name in enumerate(parts["part"])}


def listed_part(log: CurveLog, parts: Mapping[str, pd.DataFrame]) -> pd.DataFrame | None:
    """The part of a list that a log belongs to, None where there is none.

    Raises
    ------
    MarkingError
        The log names a rating, and the list another one: one of them is of another part.
    """
    part = parts.get(named(log))
    if part is None or not log.rating:
        return part
    read = parse_rating(log.rating)
    for names, value in (
        ("capacitance_rated", read.capacitances[0]),
        ("voltage_rated", read.voltages[0]),
    ):
        listed = float(part[names].iloc[0])
        if abs(value - listed) > SAME_RATING * listed:
            rated = rating_words(
                float(part["capacitance_rated"].iloc[0]), float(part["voltage_rated"].iloc[0])
            )
            raise MarkingError(
                f"{log.file}: the log is of {log.rating!r}, the list has {rated} for "
                f"{part['part'].iloc[0]}; one of them is of another part"
            )
    return part


def marked_part(log: CurveLog, told: Told, today_year: int) -> pd.DataFrame:
    """The part of a log by its rating, told or in the log: one row of the parts frame."""
    marking = told.rating or log.rating
    if not marking:
        raise ReadingsError(
            f"{log.file}: the rating of the part is not told; give --rating '32 µF 450 V', or "
            "write 'Part: C12 32 µF 450 V' above the headings"
        )
    part, _ = parts_of_marking(marking, told.made or log.made, "", today_year=today_year)
    if len(part) > 1:
        raise MarkingError(
            f"rating: {marking!r} is of {len(part)} sections; give that of the one section that "
            "was reformed"
        )
    part["part"] = log.part or stem_of(log.file)
    part["voltage_working"] = log.voltage_working
    return part


def named(log: CurveLog) -> str:
    """Name of the part that a log belongs to, as it is compared: in it, else of its file."""
    return folded(log.part or stem_of(log.file))


def stem_of(file: str) -> str:
    """Name of a part in the name of a file: "C12" of "C12_re-test.csv"."""
    return without_retest(Path(file).stem)


def folded(name: str) -> str:
    """A name as it is compared: small letters, single spaces."""
    return " ".join(name.replace("_", " ").lower().split())

"""One function per thing a user can ask for; the clock is read here and nowhere else."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from importlib.resources import files
from os import PathLike, fspath
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pandas as pd

from captriage.columns import PARTS, Sheets
from captriage.errors import CapTriageError, MarkingError
from captriage.judging import policy as house
from captriage.judging.verdicts import Judgement, judge_parts

if TYPE_CHECKING:
    from captriage.report.bench_sheets import BenchSheet
    from captriage.report.cards import Card
    from captriage.report.rule_books import RuleBook

Source = pd.DataFrame | str | PathLike[str] | Iterable[str | PathLike[str]]

ORDINARY: Final = "ordinary-service"
DEMO_SHEETS: Final = (
    "rack_parts.csv",
    "rack_readings.csv",
    "foyer_amplifier.csv",
    "exciter_supply.tsv",
    "drawer_spares.csv",
)
DEMO_YEAR: Final = 2026
"""Year in which the readings of the demonstration are said to have been taken."""


def this_year() -> int:
    """Year of the clock, for ages where the caller names none."""
    return date.today().year


def judge(
    sheets: Source,
    *,
    policy: str | PathLike[str] = ORDINARY,
    today_year: int | None = None,
    worksheet: str | None = None,
    curves: Sequence[str | PathLike[str]] = (),
) -> Judgement:
    """Verdict for every part of a frame, a sheet, or several sheets.

    Parameters
    ----------
    sheets : DataFrame, path, or iterable of paths
        Ratings and readings as a person or a meter writes them, CSV, TSV or XLSX.
    policy : str or path
        Name of a built-in house policy, or a TOML file.
    today_year : int, optional
        Year to reckon ages to; the clock's where none is given.
    worksheet : str, optional
        Sheet of a workbook to read.
    curves : sequence of path
        Logs of reforming runs, and folders of them: what they prove goes into the verdict.

    Returns
    -------
    Judgement
        Frames ``verdicts``, ``findings``, ``parts``, ``readings``, ``looks`` and
        ``set_aside`` of :mod:`captriage.columns`; row i of ``verdicts`` is row i of ``parts``.

    Raises
    ------
    ReadingsError
        A sheet cannot be opened, or nothing in it can be used.
    PolicyError
        There is no such policy, or it holds something it may not.
    """
    loaded = house.load_policy(fspath(policy))
    year = this_year() if today_year is None else today_year
    paths = [] if isinstance(sheets, pd.DataFrame) else paths_of(sheets)
    source = sheets if isinstance(sheets, pd.DataFrame) else paths
    found = check(source, today_year=year, worksheet=worksheet)
    if curves:
        from captriage.jobs.curves_beside import beside_sheets

        beside = beside_sheets(found, curves, policy=loaded, today_year=year)
        judgement = judge_parts(beside.sheets, policy=loaded, today_year=year)
        judgement = replace(judgement, curves=beside.curves)
    else:
        judgement = judge_parts(found, policy=loaded, today_year=year)
    if isinstance(sheets, pd.DataFrame) or curves:
        return judgement  # "captriage check" knows nothing of curves
    option = ("--worksheet", worksheet) if worksheet else ()
    return replace(judgement, checked_by=(*map(str, paths), *option))


def check(sheets: Source, *, today_year: int | None = None, worksheet: str | None = None) -> Sheets:
    """What is understood of a frame or of sheets, and what is set aside; nothing is judged.

    Raises
    ------
    ReadingsError
        A sheet cannot be opened, or nothing in it can be used.
    """
    from captriage.readers.sheets import read_frame, read_sheets

    year = this_year() if today_year is None else today_year
    if isinstance(sheets, pd.DataFrame):
        return read_frame(sheets, today_year=year)
    return read_sheets(paths_of(sheets), today_year=year, worksheet=worksheet)


def paths_of(sheets: str | PathLike[str] | Iterable[str | PathLike[str]]) -> list[Path]:
    """The sheet, or the sheets, that are named."""
    return [Path(each) for each in ([sheets] if isinstance(sheets, str | PathLike) else sheets)]


def expect(
    rating: str,
    *,
    made: str = "",
    frequency_hz: float = 120.0,
    temperature_degc: float = 20.0,
    soak_s: float = 300.0,
    grade: str = "",
    tolerance: str = "",
    role: str = "",
    policy: str | PathLike[str] = ORDINARY,
    today_year: int | None = None,
) -> list[Card]:
    """What a part of this rating should read, new, at its age and at its end; a card a section.

    Raises
    ------
    MarkingError
        The rating, tolerance or date cannot be read.
    PolicyError
        There is no such policy, or it holds something it may not.
    """
    from captriage.judging.expectations import expected_bands
    from captriage.readers.part_words import parse_grade, parse_role
    from captriage.report.cards import Card

    year = this_year() if today_year is None else today_year
    loaded = house.load_policy(fspath(policy))
    parts, remarks = parts_of_marking(rating, made, tolerance, today_year=year)
    parts["grade"] = parse_grade(grade) if grade else ""
    parts["role"] = parse_role(role) if role else ""
    bands = expected_bands(
        parts,
        frequency_hz=frequency_hz,
        temperature_degc=temperature_degc,
        soak_s=soak_s,
        policy=loaded,
        today_year=year,
    )
    return [
        Card(
            section=str(part["section"]),
            capacitance_rated=float(part["capacitance_rated"]),
            voltage_rated=float(part["voltage_rated"]),
            made=float(part["made"]),
            bands=bands.loc[bands["part_row"] == row].reset_index(drop=True),
            frequency_hz=frequency_hz,
            temperature_degc=temperature_degc,
            soak_s=soak_s,
            policy=loaded.title,
            today_year=year,
            remarks=remarks,
        )
        for row, part in enumerate(parts.to_dict("records"))
    ]


def parts_of_marking(
    rating: str, made: str, tolerance: str, *, today_year: int
) -> tuple[pd.DataFrame, tuple[str, ...]]:
    """Parts frame, one row a section, of what is printed on a part, and the remarks on it."""
    from captriage.readers.datecodes import parse_made
    from captriage.readers.markings import parse_rating
    from captriage.readers.part_words import parse_tolerance

    read = parse_rating(rating)
    low, high = read.tolerance_low, read.tolerance_high
    if tolerance:
        low, high = parse_tolerance(tolerance)
    dated = parse_made(made or read.made, today_year=today_year) if made or read.made else None
    if dated is not None and dated.year != dated.year:
        raise MarkingError(
            f"date of making: {made or read.made!r} gives no year ({dated.flag or 'not a date'}); "
            "write the year, such as 1959"
        )
    several = len(read.capacitances) > 1
    voltages = list(read.voltages) or [float("nan")]
    voltages += voltages[-1:] * (len(read.capacitances) - len(voltages))
    rows = [
        {
            "part": "",
            "section": str(number) if several else "",
            "capacitance_rated": capacitance,
            "voltage_rated": voltage,
            "tolerance_low": low,
            "tolerance_high": high,
            "polarity": read.polarity,
            "made": dated.year if dated else float("nan"),
        }
        for number, (capacitance, voltage) in enumerate(
            zip(read.capacitances, voltages, strict=False), start=1
        )
    ]
    blank = {"str": "", "int64": 0, "float64": float("nan")}
    frame = pd.DataFrame(
        {name: [row.get(name, blank[kind]) for row in rows] for name, kind in PARTS.items()}
    ).astype(PARTS)
    flags = [*read.flags, dated.flag if dated else ""]
    return frame, tuple(flag for flag in flags if flag)


def bench_sheet(
    sheets: Source,
    *,
    policy: str | PathLike[str] = ORDINARY,
    today_year: int | None = None,
    worksheet: str | None = None,
) -> BenchSheet:
    """Sheet to fill in: each part with the readings to take, beside the limits they must keep.

    Raises
    ------
    ReadingsError
        A sheet cannot be opened, or names no part.
    PolicyError
        There is no such policy, or it holds something it may not.
    """
    from captriage.report.bench_sheets import bench_sheet_of

    judgement = judge(sheets, policy=policy, today_year=today_year, worksheet=worksheet)
    return bench_sheet_of(judgement)


def rules(*, policy: str | PathLike[str] | None = None) -> RuleBook:
    """Every rule of the verdict, and the numbers of a policy where one is named.

    Raises
    ------
    PolicyError
        There is no such policy, or it holds something it may not.
    """
    from captriage.judging.rules import RULES
    from captriage.report.rule_books import RuleBook

    return RuleBook(RULES, None if policy is None else house.load_policy(fspath(policy)))


def policies() -> tuple[house.Policy, ...]:
    """Built-in house policies."""
    return tuple(house.load_policy(name) for name in house.POLICIES)


def policy_text(name: str) -> str:
    """TOML of a built-in house policy, to copy and change.

    Raises
    ------
    PolicyError
        There is no built-in policy of that name.
    """
    return house.policy_text(name)


def demo(*, policy: str | PathLike[str] = ORDINARY) -> Judgement:
    """Verdicts on the demonstration, its ages reckoned to the year of its readings.

    Raises
    ------
    CapTriageError
        The sheets of the demonstration are missing.
    PolicyError
        There is no such policy, or it holds something it may not.
    """
    judgement = judge(demo_sheets(), policy=policy, today_year=DEMO_YEAR)
    return replace(judgement, checked_by=())  # wherever they are installed


def demo_sheets() -> list[Path]:
    """Sheets of the demonstration, from the package, or from the checkout it runs in.

    Raises
    ------
    CapTriageError
        The sheets are in neither place.
    """
    packaged = Path(str(files("captriage") / "data_demo"))
    checkout = Path(__file__).parents[3] / "data_demo"
    for folder in (packaged, checkout):
        if folder.is_dir():
            return [folder / name for name in DEMO_SHEETS]
    raise CapTriageError(f"{packaged}: the demonstration is missing; install CapTriage again")

"""What somebody wrote beside the readings of a log: what condemns a part, and what was not told.

A curve shows a current and no case: a part that vented may fall below its limit all the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final

import pandas as pd

from captriage.columns import LOOKS, LOOKS_COLUMNS
from captriage.judging.rules.by_eye import CASE_DAMAGE
from captriage.readers.curve_logs import CurveLog
from captriage.readers.curve_tables import NOTE
from captriage.readers.looks import parse_looks
from captriage.readers.remark_looks import UNCLEAR, looks_in_remark
from captriage.report.read_curve import NotedLook, ReadCurve

CONDEMNING: Final = (*CASE_DAMAGE, "reversed", "broken terminal")
"""Looks that the rules by eye replace a part for, whatever it reads."""

JUDGED: Final = (*CONDEMNING, "polarity unclear")
"""Looks that go into the verdict as such. Warmth and noise with voltage on are looked into first:
the log says how much current flowed, and a bench is not quiet."""

OF_POLARITY: Final = ("reversed", "polarity unclear")
"""Looks that mean nothing of a bipolar part."""

NOT_TOLD: Final = "may tell of damage, of this part or of another"
TOLD_AT_MOST: Final = 5

_ORDINARY_WORDS: Final = """
a again after and at before begin beginning by changed continued discharged done down end ended
first floor for from held hold in is k last limit link meter min now of off ok on out part pause
power psu range raised read reading reached re re-test rest rested resistor resumed retest room run
s series set shorting slowly start started step still stop stopped supply switched target temp
temperature test the then through to turned up v voltage volts was while with within h c ma µa mv
ohm ω kω mω °c hz w
abgeschaltet an auf aus ausgeschaltet beginn ein eingeschaltet ende entladen erhöht geschaltet
gestellt höher messbereich nach netzteil niedriger raum schritt spannung stufe temperatur vor
widerstand arrêt début départ fin marche palier pas tension température
"""
"""What is done at every run, in the words of those who write it down; ours."""
_ORDINARY: Final = frozenset(_ORDINARY_WORDS.split())
_WORD: Final = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*|°c")


def noted_looks(log: CurveLog, *, bipolar: bool) -> tuple[NotedLook, ...]:
    """Looks that are told beside the readings, in the order of the lines.

    Parameters
    ----------
    log : CurveLog
        Its lines and cells that are no readings.
    bipolar : bool
        The part has no polarity to be wrong.
    """
    aside = log.set_aside
    told: dict[str, tuple[str, ...]] = {}
    found = []
    for line, text in zip(aside["line"].tolist(), aside["found"].tolist(), strict=True):
        if not any(map(str.isalpha, text)):
            continue  # figures alone, of which a logger may write hundreds of thousands
        if text not in told:
            told[text] = tuple(looks_in_remark(text, own_name=log.part))
        for look in told[text]:
            if not (bipolar and look in OF_POLARITY):
                found.append(NotedLook(line, text, look, condemns=look in CONDEMNING))
    return tuple(found)


def in_words(noted: Iterable[NotedLook]) -> Iterator[str]:
    """Each note once: "line 12 says 'vented, burst': vent open …, case burst or exploded"."""
    notes: dict[tuple[int, str], list[str]] = {}
    for each in noted:
        says = NOT_TOLD if each.look == UNCLEAR else LOOKS[each.look]
        notes.setdefault((each.line, each.text), []).append(says)
    for (line, text), told in notes.items():
        yield f"line {line} says '{text}': {', '.join(told)}"


def not_understood(log: CurveLog, noted: Sequence[NotedLook]) -> Iterator[str]:
    """Notes beside readings that say neither a look nor what is done at every run.

    Each text once; of very many the first ones, and how many others there are.
    """
    aside = log.set_aside.loc[log.set_aside["reason"] == NOTE]
    weighed = {each.text for each in noted}
    first: dict[str, int] = {}
    for line, text in zip(aside["line"].tolist(), aside["found"].tolist(), strict=True):
        if text not in weighed:
            first.setdefault(text, line)
    open_notes = [(line, text) for text, line in first.items() if not _is_ordinary(text)]
    for line, text in open_notes[:TOLD_AT_MOST]:
        yield f"line {line} says '{text}': not understood; read it"
    more = len(open_notes) - TOLD_AT_MOST
    if more > 0:
        yield f"{more} other note{'' if more == 1 else 's'} not understood; read them in the log"


def _is_ordinary(text: str) -> bool:
    """Whether all of a note is understood: looks, denied or of other things, and everyday words."""
    _, leftover = parse_looks(text)
    return _ORDINARY.issuperset(_WORD.findall(leftover.lower()))


def left_aside(log: CurveLog, noted: Sequence[NotedLook]) -> pd.DataFrame:
    """What is set aside of a log, without the notes that were weighed.

    Those that are not understood are to be read.
    """
    weighed = {(each.line, each.text) for each in noted}
    aside = log.set_aside
    rows = zip(aside["line"], aside["found"], aside["reason"], strict=True)
    kept = [
        (line, text) not in weighed or (reason != NOTE and any(map(str.isdigit, text)))
        for line, text, reason in rows
    ]
    left = aside.loc[kept].reset_index(drop=True)
    notes = left["reason"] == NOTE
    unclear = [text for text in left.loc[notes, "found"].unique() if not _is_ordinary(text)]
    left.loc[notes & left["found"].isin(unclear), "remedy"] = "read it: it was not understood"
    return left


def with_looks(looks: pd.DataFrame, found: Mapping[int, Sequence[ReadCurve]]) -> pd.DataFrame:
    """Looks of sheets, and those that the logs of their parts tell.

    Parameters
    ----------
    looks : DataFrame
        :data:`captriage.columns.LOOKS_COLUMNS`.
    found : mapping
        Curves by row of the part.
    """
    more: list[dict[str, Any]] = [
        {
            "part_row": row, "look": each.look, "raw": each.text, "source_file": read.file,
            "line": each.line, "column": 0,
        }
        for row, reads in found.items()
        for read in reads
        for each in read.looks
        if each.look in JUDGED
    ]  # fmt: skip
    if not more:
        return looks
    added = pd.DataFrame(more, columns=list(LOOKS_COLUMNS)).astype(LOOKS_COLUMNS)
    return pd.concat([looks, added], ignore_index=True).astype(LOOKS_COLUMNS)

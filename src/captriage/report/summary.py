"""What every report of a judgement begins with: counts, who is what, what was set aside."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from captriage.columns import KEEP, NOT_JUDGED, VERDICT_WORDS
from captriage.judging.rules.by_history import REFORMING_LOG

if TYPE_CHECKING:
    import pandas as pd

    from captriage.judging.verdicts import Judgement

NEVER: Final = "never"  # of the "energise" column
WHOLE_LOG: Final = 0  # line of a reforming log that no part of the sheets could be found for
FROM_NOTE: Final = ": from the note"  # ends the flag of a reading that a note states
WITHOUT_TEXT: Final = re.compile(r"(?:^|(?<=; ))[^:;]*:\s*(?=;|$)")
"""The heading of a note of which nothing is left."""
NAMED_AT_MOST: Final = 8  # parts named in one sentence before it says "and others"


def counts(judgement: Judgement) -> dict[str, int]:
    """Number of parts of each verdict, in the order of the verdict words."""
    found = judgement.verdicts["verdict"].value_counts()
    return {word: int(found.get(word, 0)) for word in VERDICT_WORDS}


def all_keep(judgement: Judgement) -> bool:
    """Whether there is a part, and every part is to be kept."""
    number = counts(judgement)
    return 0 < number[KEEP] == len(judgement.verdicts)


def counted(judgement: Judgement) -> str:
    """Summary line: "31 parts: 12 keep, 9 reform, 8 replace, 2 not judged"."""
    total = len(judgement.verdicts)
    number = counts(judgement)
    words = ", ".join(f"{n} {word}" for word, n in number.items() if n or word != NOT_JUDGED)
    return f"{total} part{'' if total == 1 else 's'}: {words}"


def named(judgement: Judgement) -> dict[str, list[str]]:
    """Names of the parts of each verdict, in the order of the sheet."""
    verdicts = judgement.verdicts
    return {
        word: verdicts.loc[verdicts["verdict"] == word, "part"].tolist() for word in VERDICT_WORDS
    }


def never_energise(judgement: Judgement) -> list[str]:
    """Names of the parts on which no voltage may be put."""
    verdicts = judgement.verdicts
    return list(verdicts.loc[verdicts["energise"] == NEVER, "part"])


def some(names: list[str]) -> str:
    """The first names, and how many others there are."""
    more = len(names) - NAMED_AT_MOST
    others = f" and {more} other{'' if more == 1 else 's'}" if more > 0 else ""
    return ", ".join(names[:NAMED_AT_MOST]) + others


def assumed(judgement: Judgement) -> list[str]:
    """What had to be assumed, each said once, with the parts it holds for."""
    verdicts = judgement.verdicts
    told = verdicts["assumed"].astype("category").cat
    names = verdicts["part"]
    said = []
    for sentence in dict.fromkeys(text for _, text in judgement.case.evidence.assumptions):
        holds = [code for code, text in enumerate(told.categories) if sentence in text]
        parts = names[told.codes.isin(holds)].tolist()
        if parts:
            whole = len(parts) == len(names) > NAMED_AT_MOST
            said.append(f"{f'all {len(parts)} parts' if whole else some(parts)}: {sentence}")
    return said


def sheet_names(judgement: Judgement) -> list[str]:
    """Files that were read, in order of first appearance."""
    names = [*judgement.parts["source_file"].unique(), *judgement.set_aside["file"].unique()]
    return [name for name in dict.fromkeys(names) if name]


def set_aside_line(judgement: Judgement) -> str:
    """How much could not be used, and how it is seen; "" where all was used.

    Where the sheets were named, what follows is the command that checks them.
    """
    number = len(judgement.set_aside)
    if not number:
        return ""
    noun, verb = ("cell or line", "was") if number == 1 else ("cells or lines", "were")
    if judgement.checked_by:
        return f"{number} {noun} {verb} set aside; see them with:"
    aside = judgement.set_aside
    files = aside["file"].mask(aside["heading"] == REFORMING_LOG, aside["found"])
    sheets = some(sorted(files.unique()))
    of = f" of {sheets}" if sheets else ""
    nobody = judgement.set_aside["line"] == WHOLE_LOG
    if judgement.curves or nobody.any():
        seen = f"{number} {noun}{of} {verb} set aside; --out report.html shows which, and why."
        logs = some(sorted(judgement.set_aside.loc[nobody, "file"].unique()))
        return f"{seen} Of no part in the sheets, and not weighed: {logs}." if logs else seen
    return f"{number} {noun}{of} {verb} set aside; 'captriage check' on the sheet shows why."


def nothing_aside(parts: pd.DataFrame, looks: pd.DataFrame, readings: pd.DataFrame) -> str:
    """What is said where no cell was set aside: whether all was weighed, or notes were only kept.

    Parameters
    ----------
    parts, looks, readings : DataFrame
        As read.
    """
    notes = len(notes_kept(parts, looks, readings))
    if not notes:
        return "Every cell was used."
    said = "1 note was" if notes == 1 else f"{notes} notes were"
    return f"Every cell was read; {said} kept and not weighed."


def notes_kept(
    parts: pd.DataFrame, looks: pd.DataFrame, readings: pd.DataFrame
) -> list[dict[str, str]]:
    """Notes of parts that were kept and not weighed: ``part``, ``note`` and ``source``.

    What was taken from a note as a look or as a reading is left out of it.
    """
    stated = readings.loc[readings["flag"].str.endswith(FROM_NOTE)]
    raws: dict[int, set[str]] = {}
    for frame in (looks, stated):
        for row, raw in zip(frame["part_row"].tolist(), frame["raw"].tolist(), strict=True):
            raws.setdefault(row, set()).add(raw.strip())
    kept = []
    columns = ("part", "note", "source_file", "line")
    told = zip(*(parts[name].tolist() for name in columns), strict=True)
    for row, (part, note, file, line) in enumerate(told):
        for raw in sorted(raws.get(row, ()), key=len, reverse=True):
            note = note.replace(raw, "") if raw else note
        rest = "; ".join(each for each in note.split("; ") if each.strip().rstrip(":"))
        rest = rest if note == parts["note"].iat[row] else WITHOUT_TEXT.sub("", rest).strip(" ;")
        if rest:
            kept.append({"part": part, "note": rest, "source": f"{file}:{line}"})
    return kept


def set_aside_rows(set_aside: pd.DataFrame) -> list[dict[str, str]]:
    """Rows of what was set aside, ``place`` before them: "file:line:column", or "file:line"."""
    return [
        {
            **{str(name): str(value) for name, value in row.items()},
            "place": f"{row['file']}:{row['line']}"
            + (f":{row['column']}" if row["column"] else ""),
        }
        for row in set_aside.to_dict("records")
    ]

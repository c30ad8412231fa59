"""What every report of a judgement begins with: counts, who is what, what was set aside."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from captriage.columns import KEEP, NOT_JUDGED, VERDICT_WORDS

if TYPE_CHECKING:
    import pandas as pd

    from captriage.judging.verdicts import Judgement

NEVER: Final = "never"  # of the "energise" column
WHOLE_LOG: Final = 0  # line of a reforming log that no part of the sheets could be found for
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
    sheets = some(sorted(judgement.set_aside["file"].unique()))
    of = f" of {sheets}" if sheets else ""
    nobody = judgement.set_aside["line"] == WHOLE_LOG
    if judgement.curves or nobody.any():
        seen = f"{number} {noun}{of} {verb} set aside; --out report.html shows which, and why."
        logs = some(sorted(judgement.set_aside.loc[nobody, "file"].unique()))
        return f"{seen} Of no part in the sheets, and not weighed: {logs}." if logs else seen
    return f"{number} {noun}{of} {verb} set aside; 'captriage check' on the sheet shows why."


def nothing_aside(parts: pd.DataFrame, looks: pd.DataFrame) -> str:
    """What is said where no cell was set aside: whether all was weighed, or notes were only kept.

    Parameters
    ----------
    parts, looks : DataFrame
        As read.
    """
    raws: dict[int, list[str]] = {}
    for row, raw in zip(looks["part_row"].tolist(), looks["raw"].tolist(), strict=True):
        raws.setdefault(row, []).append(raw.strip())
    notes = sum(
        bool(note) and not any(raw and raw in note for raw in raws.get(row, []))
        for row, note in enumerate(parts["note"].tolist())
    )
    if not notes:
        return "Every cell was used."
    said = "1 note was" if notes == 1 else f"{notes} notes were"
    return f"Every cell was read; {said} kept and not weighed."


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

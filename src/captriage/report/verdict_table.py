"""Verdicts for a person at a terminal: cautions, one block a part, then who is what."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, TextIO

from captriage.columns import NOT_JUDGED
from captriage.report import summary
from captriage.report.figures import percent
from captriage.report.findings import limits_apart
from captriage.report.grouping import grouped
from captriage.report.terminal import Terminal, padded, safe, text_width

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement

BLOCKS_AT_MOST: Final = 2000  # beyond that nobody reads blocks: a line a part
RATING_WIDTH: Final = 16
VERDICT_WIDTH: Final = 11


def write_table(judgement: Judgement, out: TextIO) -> None:
    """Write the verdicts as blocks, or beyond 2 000 parts as one plain line each."""
    from captriage.judging.cautions import cautions

    page = Terminal(out)
    page.line(page.styled(summary.counted(judgement), "heading"))
    page.line(f"House policy: {judgement.policy.title}. Ages reckoned to {judgement.today_year}.")
    page.heading("Before anything is touched")
    page.items(cautions(judgement))
    if len(judgement.verdicts) > BLOCKS_AT_MOST:
        write_lines(judgement, page)
    else:
        write_blocks(judgement, page)
    write_ending(judgement, page)


def write_blocks(judgement: Judgement, page: Terminal) -> None:
    """A heading line a part, with the reason and the next step under it; limits as notes."""
    rows = grouped(judgement)
    name_width = min(24, max([4, *(text_width(row["part"]) for row in rows)])) + 2
    notes: dict[str, int] = {}
    page.line()
    head = padded("part", name_width) + padded("rating", RATING_WIDTH)
    page.line(page.styled(head + padded("verdict", VERDICT_WIDTH) + "sure", "quiet"))
    page.line(page.styled("─" * page.width, "quiet"))
    can = ""
    for row in rows:
        if row["can"] and row["can"] != can:
            page.line(page.styled(f"{safe(row['can'])}: a can of {row['sections']}", "quiet"))
        can = row["can"]
        limits = [notes.setdefault(each, len(notes) + 1) for each in limits_apart(row["limit"])]
        note = f" [{', '.join(map(str, limits))}]" if limits else ""
        page.line(
            page.styled(padded(row["part"], name_width - 1), "heading")
            + " "
            + padded(row["rating"] or "rating unknown", RATING_WIDTH)
            + page.styled(padded(row["verdict"], VERDICT_WIDTH), row["verdict"])
            + row["sure"]
        )
        page.paragraph(row["because"] + note, first="    ")
        if row["next"]:
            page.paragraph(row["next"], first="    > ")
    if notes:
        page.heading("Limits")
        for limit, number in notes.items():
            page.paragraph(limit, first=f"{f'[{number}]':>5} ")


def write_lines(judgement: Judgement, page: Terminal) -> None:
    """One unwrapped line a part, for sheets that are read by searching."""
    verdicts = judgement.verdicts
    columns = [verdicts[name].tolist() for name in ("part", "verdict", "confidence", "because")]
    page.line()
    page.out.writelines(
        f"{safe(part):<16} {verdict:<10} {percent(sure):>5}  {safe(because)}\n"
        for part, verdict, sure, because in zip(*columns, strict=True)
    )


def write_ending(judgement: Judgement, page: Terminal) -> None:
    """What was assumed, which part is what, what must see no voltage, what was set aside."""
    few = len(judgement.verdicts) <= BLOCKS_AT_MOST
    assumed = summary.assumed(judgement)
    if assumed:
        page.heading("Assumed")
        page.items(assumed)
    page.heading(summary.counted(judgement))
    if few:
        for word, names in summary.named(judgement).items():
            if names or word != NOT_JUDGED:
                label = f"{word:<{VERDICT_WIDTH}}"
                page.paragraph(", ".join(names) or "none", first=f"  {label}")
    never = summary.never_energise(judgement)
    if never:
        whole = few or len(never) <= summary.NAMED_AT_MOST
        which = ", ".join(never) if whole else summary.some(never)
        more = "." if whole else "; see energise in --format csv."
        page.line()
        page.paragraph(f"Never put voltage on: {which}{more}")
    line = summary.set_aside_line(judgement)
    if line:
        page.line()
        page.paragraph(line)
        if judgement.checked_by:
            page.command(["captriage", "check", *judgement.checked_by])

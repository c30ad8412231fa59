"""The last lines of a log: what was kept, what is left, and the commands that go on from there."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from captriage.bench.telling import counted
from captriage.jobs.desk import ORDINARY, Where

if TYPE_CHECKING:
    from captriage.bench.sitting import Part, Show
    from captriage.bench.soak_plan import SoakSummary
    from captriage.bench.streaming import StreamSummary
    from captriage.bench.walk import Summary

NAMED_AT_MOST: Final = 8  # parts in one sentence
_PASSWORD: Final = re.compile(r"(?<=://)([^:@/]*):[^@]*(?=@)")


def tell_walk(summary: Summary, show: Show, again: Sequence[str]) -> None:
    """Say what a walk has kept, what it has left, and with which command it goes on."""
    show.line()
    standing = counted(summary.taken - summary.struck, "answer")
    struck = f", and {summary.struck} struck out" if summary.struck else ""
    show.tell("kept", f"{counted(len(summary.done), 'part')}, {standing}{struck}")
    if summary.ended:
        show.tell("", summary.ended)
    if summary.skipped:
        show.tell("", f"passed over: {named(summary.skipped)}")
    if summary.left:
        show.tell("", f"left: {named(summary.left)}")
    if summary.left or summary.skipped:
        tell_command(show, "go on with these parts:", resumed(again))


def tell_nothing_left(parts: int, show: Show, judge: Sequence[str]) -> None:
    """Say that a walk that was to go on has nothing to do."""
    are = "the part is" if parts == 1 else f"all {parts} parts are"
    show.tell("done", f"{are} done already: nothing is left to be read; see the verdicts with")
    tell_command(show, "", judge)


def tell_judge(standing: str, show: Show, *, book: str, job: str, policy: Where) -> None:
    """Say how the verdicts stand, and the command that shows them with their reasons."""
    show.tell("so far", standing)
    tell_command(show, "", judge_command(book, job, policy))


def tell_soak(summary: SoakSummary, part: Part, show: Show) -> None:
    """Say what a soak has kept, and why it has ended early."""
    show.tell("kept", f"{counted(summary.taken, 'reading')} of {part.part}")
    if summary.ended:
        show.tell("", summary.ended)


def tell_after_soak(
    summary: SoakSummary, show: Show, *, judge: Sequence[str], again: Sequence[str]
) -> None:
    """Say with which command the verdicts are seen, or the soak is begun anew."""
    if summary.taken:
        tell_command(show, "all verdicts of the job, with their limits:", judge)
    if summary.ended:
        tell_command(show, "to soak it anew, when it is discharged:", again)


def tell_stream(summary: StreamSummary, part: Part | None, show: Show) -> None:
    """Say what of a stream was kept, and why it has ended before its time."""
    first, *rest = summary.sentences()
    show.tell("kept", first)
    for sentence in rest:
        show.tell("", sentence)
    if summary.taken and part is None:
        show.tell("", "filed under no part, so it is not judged")
    if summary.ended:
        show.tell("", summary.ended)


def tell_after_stream(
    summary: StreamSummary, show: Show, *, listed: Sequence[str], again: Sequence[str]
) -> None:
    """Say with which command all of it is seen, or listened for the time that was wanted."""
    if summary.taken:
        tell_command(show, "all that was kept:", listed)
    if summary.ended and again:
        tell_command(show, "to listen anew, beside what was kept:", again)


def tell_command(show: Show, why: str, words: Sequence[str]) -> None:
    """Show a command, after what it is for; nothing where there is none."""
    if not words:
        return
    if why:
        show.tell("", why)
    show.command([_PASSWORD.sub(r"\1:***", word) for word in words])


def judge_command(book: str, job: str, policy: Where) -> list[str]:
    """Command that judges a job of a book."""
    own = os.fspath(policy)
    option = [] if own == ORDINARY else ["--policy", own]
    return ["captriage", "judge", "--book", book, "--job", job, *option]


def list_command(book: str, job: str) -> list[str]:
    """Command that lists a job of a book."""
    return ["captriage", "book", "list", "--book", book, "--job", job]


def resumed(again: Sequence[str]) -> list[str]:
    """The command that was given, so that it goes on: its job has its parts by now."""
    words, skip = [], False
    for word in again:
        if skip or word.startswith("--parts="):
            skip = False
        elif word == "--parts":
            skip = True
        elif word != "--resume":
            words.append(word)
    return [*words, "--resume"] if words else []


def named(parts: Sequence[str]) -> str:
    """The first names, and how many others there are."""
    more = len(parts) - NAMED_AT_MOST
    others = f" and {counted(more, 'other')}" if more > 0 else ""
    return ", ".join(parts[:NAMED_AT_MOST]) + others

"""Whether a profile holds: its transcripts played to the very code that talks to meters."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from math import isnan

from captriage.bench.measured import Answer, Reads
from captriage.bench.meter import Meter
from captriage.bench.pattern_text import matches
from captriage.bench.profile import Profile, Transcript
from captriage.bench.typed import TypedMeter
from captriage.bench.wire import Wire
from captriage.errors import CapTriageError, Garbled

Lines = list[tuple[str, ...]]


def prove(profile: Profile) -> list[str]:
    """What is wrong with the transcripts of a profile, in words; nothing where it holds.

    Each transcript is replayed: the meter is set up with its settings and must say the very
    lines of the transcript, and the last reply must give the very reading. And there must be
    enough of them: a good reading of each function, the opening where there is one, and one
    reply of each kind that holds no number.

    Parameters
    ----------
    profile : Profile
        As :func:`captriage.bench.profiles.load_profile` gives it.

    Returns
    -------
    list of str
        ``<file>: <transcript>: <found>; <remedy>``.
    """
    where = profile.path or profile.name
    problems = [f"{where}: {missing}" for missing in _missing(profile)]
    for number, transcript in enumerate(profile.transcripts, 1):
        at = f"{where}: transcripts[{number}] ({transcript.function})"
        problems += [f"{at}: {problem}" for problem in _replay(profile, transcript)]
    return problems


def _missing(profile: Profile) -> Iterator[str]:
    """Kinds of transcript that a profile should have and has not."""
    for function in profile.functions.values():
        mine = [each for each in profile.transcripts if each.function == function.name]
        if not any(not any(map(isnan, each.reading.values())) for each in mine):
            yield f"transcripts: no good reading of {function.name}; add one"
    if opening(profile) and not any(opens(profile, each) for each in profile.transcripts):
        yield "transcripts: none begins with wake and identity; write them before its set-up"
    flags = [each.flag for each in profile.transcripts]
    replies = [function.reply for function in profile.functions.values()]
    if any(reply.status_ok for reply in replies) and not any("status" in flag for flag in flags):
        yield "transcripts: no reply with a bad status; add one whose numbers look real"
    over = any(reply.over_range_words or reply.over_range_status for reply in replies)
    if over and not any(flag.startswith("over range") for flag in flags):
        yield "transcripts: no reply that is over range; add one"


def opening(profile: Profile) -> tuple[str, ...]:
    """What is said to a meter of this profile before anything else."""
    return (*profile.wake, *([profile.identity_ask] if profile.identity_ask else []))


def opens(profile: Profile, transcript: Transcript) -> bool:
    """Whether a transcript begins at the very beginning."""
    return bool(opening(profile)) and transcript.lines[0][0] == opening(profile)[0]


def _replay(profile: Profile, transcript: Transcript) -> Iterator[str]:
    """What is wrong with one transcript."""
    left: Lines = list(transcript.lines)
    meter = _meter(profile, left)
    try:
        if opens(profile, transcript):
            meter.open()
        meter.use(transcript.function, **transcript.settings)
        answer = meter.read()
    except CapTriageError as error:
        yield str(error)
        return
    if left:
        yield f"{left[0][0]!r} is never said; take it out, or put it into the commands"
    yield from _compare(answer, transcript)


def _compare(answer: Answer, transcript: Transcript) -> Iterator[str]:
    """Where the reading is another than the transcript means."""
    flag = transcript.flag
    for value in answer.values:
        meant = transcript.reading[value.quantity]
        if isnan(meant) != isnan(value.value) or (
            not isnan(meant) and not _same(value.value, meant)
        ):
            yield (
                f"{value.quantity}: {value.value:g} is understood, {meant:g} is meant; "
                "correct the reply, or the reading"
            )
        elif isnan(meant) and flag:
            if not value.flag.startswith(flag):
                yield f"flag: {value.flag!r} is given; {flag!r} is meant"
            flag = ""  # it is that of the first quantity without a number


def _same(value: float, meant: float) -> bool:
    return abs(value - meant) <= 1e-12 * abs(meant)


def _meter(profile: Profile, left: Lines) -> Reads:
    """A meter of this profile that hears and says the lines of a transcript."""
    clock = StillClock()
    if profile.kind == "person":
        return TypedMeter(profile, _typist(left), name=profile.name, clock=clock)
    meter = Meter(profile, "transcript", name=profile.name, clock=clock)
    meter.wire = ReplayWire(profile, left, clock=clock)
    return meter


def _typist(left: Lines) -> Callable[[str], str]:
    """Types the answers of a transcript to the questions of a typed meter."""

    def prompt(question: str) -> str:
        quantity, answer = _taken(left, 2, repr(question.splitlines()[-1]))
        asked = question.splitlines()[-1].partition(",")[0].lower()
        if asked != quantity.replace("_", " ").replace("tan delta", "tan δ"):
            raise Garbled(f"{asked} is asked for; the transcript has {quantity!r}")
        return answer

    return prompt


def _taken(left: Lines, texts: int, said: str) -> tuple[str, ...]:
    """The next line of a transcript, which must hold so many texts."""
    if not left:
        raise Garbled(f"{said} is said and the transcript is at its end; add it")
    line = left.pop(0)
    if len(line) != texts:
        wanted = "an answer is" if texts == 2 else "no answer is"
        raise Garbled(f"{list(line)} in the transcript, but {wanted} waited for; correct one")
    return line


class StillClock:
    """A clock that stands, for replaying takes no time."""

    def utc(self) -> datetime:
        """One moment for ever."""
        return datetime(2000, 1, 1, tzinfo=UTC)

    def monotonic(self) -> float:
        """Nought."""
        return 0.0

    def sleep(self, seconds: float) -> None:
        """Return at once."""


class ReplayWire(Wire):
    """A wire with a transcript at its other end."""

    def __init__(self, profile: Profile, left: Lines, *, clock: StillClock) -> None:
        super().__init__("transcript", profile.transport, clock=clock, name=profile.name)
        self._left = left

    @property
    def is_open(self) -> bool:
        """Always: there is nothing to connect to."""
        return True

    def open(self) -> None:
        """Nothing is to be connected."""

    def close(self) -> None:
        """Nothing is to be let go."""

    def tell(self, text: str) -> None:
        """The next line of the transcript must be this command, and have no answer."""
        (meant,) = _taken(self._left, 1, repr(text))
        self._check(text, meant)

    def ask(self, text: str) -> str:
        """Answer to this question, which must be the next line of the transcript."""
        meant, answer = _taken(self._left, 2, repr(text))
        self._check(text, meant)
        return answer

    def identify(self, question: str, pattern: str) -> str:
        """As :meth:`ask`; once, for no other answer can be late here."""
        identity = self.ask(question)
        if not matches(pattern, identity):
            raise Garbled(f"identity {identity!r}; the profile has the pattern {pattern!r}")
        return identity

    def next_line(self) -> str:
        """The next line of the transcript, which was not asked for."""
        return self.ask("")

    def _check(self, said: str, meant: str) -> None:
        if said != meant:
            raise Garbled(f"{said!r} is said; the transcript has {meant!r}")

"""Why a meter is not understood: other line ends, rates and manners are tried on its wire.

Nothing is opened but the address named, and nothing is sent but wake commands, line ends and
the question that the profile has.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from captriage.bench import owner
from captriage.bench.channel import CHUNK, Channel
from captriage.bench.connecting import connect
from captriage.bench.refusals import gone
from captriage.errors import Gone

if TYPE_CHECKING:
    from captriage.bench.profile import Profile, Transport

LINE_ENDS: Final = ("\n", "\r", "\r\n")
RATES: Final = (9600, 19200, 38400, 57600, 115200, 4800, 2400, 1200)
QUIET_S: Final = 0.15  # without a byte, an answer is over
ASKED_S: Final = 1.0  # for an answer, where the line end or the rate is not the profile's
UNASKED_S: Final = 1.2  # to hear a meter that sends unasked
LONGEST_S: Final = 15.0


@dataclass(frozen=True, slots=True)
class Heard:
    """What came, by which settings."""

    data: bytes
    transport: Transport
    seconds: float = 0.0  # until it began
    unasked: bool = False

    @property
    def readable(self) -> bool:
        """Whether it is text."""
        text = self.data.translate(None, b"\r\n\t")
        return bool(text.strip()) and text.isascii() and text.decode("ascii").isprintable()

    @property
    def lines(self) -> list[str]:
        """Its lines, without their ends."""
        text = self.data.decode("ascii", "replace").replace("\r", "\n")
        return [line.strip() for line in text.split("\n") if line.strip()]


def causes(
    profile: Profile, address: str, *, name: str, backend: str, tell: Callable[[str], None]
) -> list[str]:
    """What has to be changed for the meter to be understood, in words; as far as can be found.

    Parameters
    ----------
    profile : Profile
        That did not do.
    address : str
        VISA name; free, the meter that was tried is closed.
    name : str
        How messages call the meter.
    backend : str
        PyVISA backend.
    tell : callable
        Gets a line on what is being tried.

    Raises
    ------
    Gone
        It cannot be connected to any more.
    """
    mine = owner.take(address, where=name)
    try:
        unreadable: list[Heard] = []
        for heard in _attempts(profile, address, name=name, backend=backend, tell=tell):
            if heard.readable:
                return _unlike(profile, heard)
            if heard.data.strip():
                unreadable.append(heard)
        return _nothing(profile, address, unreadable)
    except Gone:
        raise
    except Exception as error:
        raise gone(name, address, error) from error
    finally:
        mine.release()


def _attempts(
    profile: Profile, address: str, *, name: str, backend: str, tell: Callable[[str], None]
) -> Iterator[Heard]:
    """What is heard by the profile's settings, then by others."""
    own = profile.transport
    serial = address.upper().startswith("ASRL")
    rates = [own.baud, *(rate for rate in RATES if rate != own.baud)] if serial else [own.baud]
    for rate in rates:
        transport = replace(own, baud=rate)
        if rate != own.baud:
            tell(f"trying {rate} baud")
        channel = connect(name, address, transport, backend=backend)
        try:
            data, seconds = _unasked(channel, own, first=rate == own.baud)
            if data:
                yield Heard(data, transport, seconds, unasked=True)
            elif own.asks:
                yield from _by_line_end(profile, transport, channel, tell)
        finally:
            channel.close()


def _unasked(channel: Channel, own: Transport, *, first: bool) -> tuple[bytes, float]:
    """What comes unasked; of a meter that is asked, not what it still owed from before."""
    if not own.asks:
        return _listen(channel, own.timeout_s)
    patience = UNASKED_S if first else QUIET_S
    until = time.monotonic() + 3 * patience
    data = b""
    while time.monotonic() < until:
        data, _ = _listen(channel, patience)
        if not data:
            break
    return data, 0.0


def _by_line_end(
    profile: Profile, transport: Transport, channel: Channel, tell: Callable[[str], None]
) -> Iterator[Heard]:
    own = profile.transport.write_end
    ends = [own, *(end for end in LINE_ENDS if end != own)]
    for end in ends[:1] if channel.whole else ends:
        first = end == own and transport.baud == profile.transport.baud
        if not first:
            tell(f"trying the line end {end!r}")
        # What a meter took for the beginning of a command is ended first.
        for said in ("", *profile.wake):
            if channel.send((said + end).encode("ascii"), ASKED_S) and not channel.whole:
                _listen(channel, QUIET_S)
        channel.send((question_of(profile) + end).encode("ascii"), ASKED_S)
        patience = min(3 * transport.timeout_s, LONGEST_S) if first else ASKED_S
        data, seconds = _listen(channel, patience)
        heard = Heard(data, replace(transport, write_end=end), seconds)
        if heard.lines == [question_of(profile)]:  # the answer may take longer than the echo
            heard = replace(heard, data=data + _listen(channel, patience)[0])
        yield heard


def question_of(profile: Profile) -> str:
    """The question that does least: who it is, or where it cannot tell, a reading."""
    return profile.identity_ask or next(iter(profile.functions.values())).read


def _listen(channel: Channel, seconds: float) -> tuple[bytes, float]:
    """What comes until it is quiet, and how long it took to begin."""
    start = time.monotonic()
    data, began = b"", 0.0
    while (left := start + seconds - time.monotonic()) > 0 and len(data) < CHUNK:
        more = channel.receive(min(left, QUIET_S) if data else left)
        if not more:
            break
        began = began or time.monotonic() - start
        data += more
    return data, began


def _unlike(profile: Profile, heard: Heard) -> list[str]:
    """How what was heard differs from what the profile says."""
    own, used = profile.transport, heard.transport
    found = []
    if used.baud != own.baud:
        found.append(f"it answers at {used.baud} baud: set baud = {used.baud} in its profile")
    if used.write_end != own.write_end:
        found.append(
            f"it answers when a question ends in {used.write_end!r}: "
            f"set write_end = {_toml(used.write_end)} in its profile"
        )
    if own.read_end.encode() not in heard.data:
        found.append(_read_end(heard.data, own.read_end))
    if heard.unasked and own.asks:
        found.append(
            f"it sends without being asked ({heard.lines[-1]!r}): set asks = false in its "
            "profile, or try it --as serial_stream"
        )
    if not heard.unasked:
        question = question_of(profile)
        echoes = heard.lines[0] == question
        if echoes and not own.echo:
            found.append("it sends each question back: set echo = true in its profile")
        if own.echo and not echoes:
            found.append("it sends no question back: set echo = false in its profile")
        answers = heard.lines[1:] if echoes else heard.lines
        if not answers:
            found.append(
                f"it sends {question!r} back and answers nothing: is that a question it knows, "
                "and is anything but a loop connected?"
            )
        if len(answers) > 1:
            found.append(
                f"it answers in {len(answers)} lines ({answers[0]!r}, then {answers[1]!r}): ask "
                "for one of them, or write a meter class (instruments/README.md)"
            )
        if heard.seconds > own.timeout_s:
            found.append(
                f"it takes {heard.seconds:.1f} s to answer: set timeout_s = "
                f"{2 * heard.seconds:.0f} in its profile"
            )
    return found or [f"it answers now ({heard.lines[-1]!r}); try once more"]


def _read_end(data: bytes, expected: str) -> str:
    seen = next((end for end in ("\n", "\r") if end.encode() in data), "")
    if not seen:
        return f"its lines have no end; {expected!r} is expected, and one is needed"
    return f"its lines end in {seen!r}: set read_end = {_toml(seen)} in its profile"


def _toml(text: str) -> str:
    return '"' + text.replace("\r", "\\r").replace("\n", "\\n") + '"'


def _nothing(profile: Profile, address: str, unreadable: list[Heard]) -> list[str]:
    """Nothing readable came, whatever was tried."""
    for heard in unreadable:
        bare = Heard(bytes(byte & 0x7F for byte in heard.data), heard.transport)
        odd = {byte.bit_count() % 2 for byte in heard.data}
        if bare.readable and len(odd) == 1:
            parity = "odd" if odd == {1} else "even"
            return [
                f"it sends 7 data bits and a parity bit ({bare.lines[-1]!r}): set data_bits = 7 "
                f'and parity = "{parity}" in its profile'
            ]
    if unreadable:
        return [
            f"something comes ({unreadable[0].data[:20]!r}), but no text: check baud rate, data "
            "bits and parity in the meter's menu, and the cable"
        ]
    if not profile.transport.asks:
        return ["nothing comes: switch on the meter's sending (a key or menu entry on most)"]
    serial = address.upper().startswith("ASRL")
    return [
        f"nothing answers, by any line end{' or rate' if serial else ''}: is it on, set to talk "
        f"by this connection, and does it know {question_of(profile)!r}?"
        + (" Is the cable the right kind, straight or crossed?" if serial else "")
    ]

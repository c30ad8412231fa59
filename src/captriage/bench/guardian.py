"""The guardian: a process of its own that holds the supply, and switches it off.

The guardian owns the only connection to the supply. The run asks it to set and to switch, and
says in every moment that it is alive. That was chosen over a second connection beside the run's:

* A serial port has one user, and many supplies serve one caller on a network; so this works on
  every wire, and the lock of the instrument stays with one owner.
* However the run ends (kill -9 among it), the pipe to it ends in the same moment: the output is
  off before a heartbeat would be missed. A run that hangs is found out by its silence.
* Dies the guardian, the pipe ends for the run, which connects by itself and switches off
  (:mod:`captriage.bench.guarded`); the lock went with the process that held it.
* What is forbidden is refused where it would be sent: a voltage above the highest of the run is
  never on the wire, whatever the run asks for.

It has a session of its own: Ctrl-C, a terminal that closes and a shell that ends do not reach
it. It ends by itself, with the run. Where the wire to the supply is cut it goes on trying; until
it is back only the supply's own protection holds, which is why that is set first. A computer that
stops, or sleeps, takes the guardian with it: this is no safety device.
"""

from __future__ import annotations

import json
import queue
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from math import isnan
from typing import TYPE_CHECKING, Any, Final

from captriage.bench.held_supply import DC_CURRENT, DC_VOLTAGE, HeldSupply
from captriage.bench.pipe import Inbox, Message, written
from captriage.errors import CapTriageError, MeterError
from captriage.units import format_quantity

if TYPE_CHECKING:
    from pathlib import Path

    from captriage.bench.measured import Answer, Clock

BEAT_WITHIN_S: Final = 1.4
"""The output goes off where the run says nothing for so long: within 2 s, with one look at the
supply in between. [s]"""

LOOK_S: Final = 0.25
"""From one look at the supply to the next, while its output is on. [s]"""

BLIND_S: Final = 1.0
"""The output goes off where the supply told nothing to be believed for so long. [s]"""

AGAIN_S: Final = 0.5
"""From one attempt to switch off to the next, until the supply says that it is off. [s]"""

GIVES_UP_S: Final = 600.0
"""How long it tries to switch off after the run has ended. [s]"""

ABOVE: Final = 0.02
"""Share by which a reading may lie above what is allowed or set, beside its uncertainty; ours."""

GIVEN_BACK_V: Final = 2.0
"""A part that was measured below 1 V gives some of its charge back: so much may stand at the
terminals of an output that is set to nought; ours. [V]"""

ANSWER_S: Final = 0.4
"""Most that the supply has for one answer: the next look, or the end, waits for it. [s]"""


@dataclass(frozen=True, slots=True)
class Allowed:
    """What the guardian lets happen.

    Attributes
    ----------
    highest_v, highest_a : float
        Most that may be set, or read. [V], [A]
    until_s : float
        Longest time with the output on, all in all. [s]
    """

    highest_v: float
    highest_a: float
    until_s: float


class Guardian:
    """Obeys the run, looks at the supply, and switches it off.

    Parameters
    ----------
    supply : HeldSupply
        The supply; it is opened here.
    allowed : Allowed
        Limits of the run.
    tell : callable
        Sends a message to the run.
    clock : Clock
        The real one.
    last_words : Path or None
        File that says afterwards how the output was left.
    """

    def __init__(
        self,
        supply: HeldSupply,
        allowed: Allowed,
        *,
        tell: Callable[[Message], None],
        clock: Clock,
        last_words: Path | None = None,
    ) -> None:
        self.supply, self.allowed, self.clock = supply, allowed, clock
        self.stopped = ""
        """Why the output is off for good; "" where it may be switched."""
        self._tell, self._last_words = tell, last_words
        self._confirmed = True  # that it is off
        self._on = False  # whether it may be on
        self._highest_set = 0.0
        self._told_off: Message = {}
        self._set: set[str] = set()
        self._on_until = self._heard = self._seen = self._look_at = self._again_at = 0.0

    # What the run asks for

    def obey(self, message: Message) -> None:
        """Do what a message asks for, and answer it where it has a number."""
        self._heard = self.clock.monotonic()
        what, number = message.get("do"), message.get("number")
        if what == "beat":
            return
        try:
            told = self._do(str(what), message)
        except CapTriageError as error:
            kind = type(error).__name__
            self._tell({"said": "refused", "number": number, "kind": kind, "text": str(error)})
        else:
            self._tell({"said": "done", "number": number, "told": told})
        self._heard = self.clock.monotonic()  # it waited for this, however long the supply took

    def _do(self, what: str, message: Message) -> Mapping[str, Any]:
        if what == "off":
            self.switch_off(str(message["why"]))
            return {"confirmed": self._confirmed}
        return self._perform(str(message["action"]), message["settings"])

    def _perform(self, action: str, settings: Mapping[str, float]) -> Mapping[str, float]:
        self._refuse(action, settings)
        if action == "on":
            now = self.clock.monotonic()
            self._on, self._confirmed = True, False
            self._on_until = self._on_until or now + self.allowed.until_s
            self._seen = now
        told = self.supply.perform(action, **settings)
        self._set.add(action)
        self._highest_set = max(self._highest_set, told.get("voltage_v", 0.0))
        return told

    def _refuse(self, action: str, settings: Mapping[str, float]) -> None:
        """Make sure that this may be sent.

        Raises
        ------
        CapTriageError
            It may not.
        """
        where, allowed = self.supply.name, self.allowed
        if self.stopped:
            raise CapTriageError(f"{where}: {action}; it was switched off: {self.stopped}")
        if settings.get("voltage_v", 0.0) > allowed.highest_v:
            raise CapTriageError(
                f"{where}: {settings['voltage_v']:g} V; at most {allowed.highest_v:g} V is allowed"
            )
        if settings.get("current_a", 0.0) > allowed.highest_a:
            raise CapTriageError(
                f"{where}: {settings['current_a']:g} A; at most {allowed.highest_a:g} A is allowed"
            )
        missing = {"set_voltage", "set_current_limit"} - self._set
        if action == "on" and missing:
            raise CapTriageError(
                f"{where}: on, without {' and '.join(sorted(missing))}; set them first"
            )

    # What it does by itself

    def watch(self) -> None:
        """Look whether the run lives and the supply is as it may be; switch off where not."""
        now = self.clock.monotonic()
        if self._on and not self.stopped:
            if now - self._heard > BEAT_WITHIN_S:
                self.switch_off(f"the run said nothing for {BEAT_WITHIN_S:g} s")
            elif now > self._on_until:
                self.switch_off("the time of the whole run is over")
            elif now >= self._look_at:
                self._look_at = now + LOOK_S
                self._look()
        elif not self._confirmed and now >= self._again_at:
            self._try()

    def _look(self) -> None:
        try:
            volts, amps, output = self.supply.look()
        except MeterError as fault:
            self._failed(fault)
            return
        self._seen = self.clock.monotonic()
        if output == 0:
            self.switch_off("its output went off by itself: a protection has tripped")
            return
        wrong = self._wrong(volts, amps)
        if wrong:
            self.switch_off(wrong)
            return
        self._tell(
            {"said": "seen", DC_VOLTAGE: written(volts), DC_CURRENT: written(amps)},
        )

    def _failed(self, fault: MeterError) -> None:
        """A look has failed: there is another, and not for long."""
        self._tell({"said": "fault", "text": str(fault)})
        blind_s = self.clock.monotonic() - self._seen
        if blind_s > BLIND_S:
            self.switch_off(f"it told nothing to be believed for {blind_s:.1f} s: {fault}")

    def _wrong(self, volts: Answer | None, amps: Answer | None) -> str:
        """What the supply may not read, or "" where it may."""
        # A part that is charged holds the terminals up while the voltage is lowered.
        most_v = min(self.allowed.highest_v, self._highest_set)
        if too_much := above(volts, max(most_v, GIVEN_BACK_V), "V"):
            return f"it gives {too_much}, and was set to {format_quantity(most_v, 'V')}"
        if too_much := above(amps, self.allowed.highest_a, "A"):
            most_a = format_quantity(self.allowed.highest_a, "A")
            return f"it gives {too_much}; at most {most_a} is allowed"
        return ""

    def switch_off(self, why: str) -> None:
        """Switch the output off for good, and have the supply say that it is."""
        self.stopped = self.stopped or why
        self._on = False
        self._try()

    def _try(self) -> None:
        """One attempt to switch off."""
        fault = self.supply.off()
        self._confirmed = not fault
        self._again_at = self.clock.monotonic() + AGAIN_S
        said = {"said": "off", "why": self.stopped, "confirmed": self._confirmed, "fault": fault}
        self._leave_words(said)
        if said != self._told_off:
            self._told_off = said
            self._tell(said)

    def _leave_words(self, said: Message) -> None:
        if self._last_words is None:
            return
        with suppress(OSError):  # the output is off whether that can be written or not
            self._last_words.write_text(
                json.dumps({**said, "utc": f"{self.clock.utc():%F %T} UTC"}), encoding="utf-8"
            )

    # From the beginning to the end

    def attend(self, inbox: Inbox) -> None:
        """Obey and watch until the run has ended, then until the output is off."""
        try:
            while (message := self._next(inbox)) is not None:
                if message.get("do") == "end":
                    return
                if message:
                    self.obey(message)
                self.watch()
            if self._on and not self.stopped:
                self.switch_off("the run has ended without switching it off")
        finally:
            self._leave()

    def _next(self, inbox: Inbox) -> Message | None:
        """The next message, an empty one where none has come; None at the end."""
        try:
            return inbox.get(timeout=0.05)
        except queue.Empty:
            return {}

    def _leave(self) -> None:
        """Switch off, however long that takes, and let the supply go."""
        if self._on:
            self.switch_off(self.stopped or "the guardian ends")
        until = self.clock.monotonic() + GIVES_UP_S
        while not self._confirmed and self.clock.monotonic() < until:
            self.clock.sleep(AGAIN_S)
            self._try()
        self.supply.close()


def above(answer: Answer | None, most: float, unit: str) -> str:
    """What was read, where it is more than the most that is allowed, or no number; "" else."""
    if answer is None:
        return ""
    (value,) = answer.values
    if isnan(value.value):
        return value.flag or "no number"
    unsure = 0.0 if isnan(value.uncertainty) else value.uncertainty
    return format_quantity(value.value, unit) if value.value > (1 + ABOVE) * most + unsure else ""

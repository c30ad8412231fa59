"""A supply as it is held by whoever may switch it: looked at, set, and switched off at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from math import inf, isnan
from typing import TYPE_CHECKING, Final, Self

from captriage.bench.commands import filled_in, settings_within
from captriage.bench.meter import SUPPLY, Meter
from captriage.bench.profiles import load_profile
from captriage.errors import CapTriageError, Gone, MeterError, ProfileError
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.measured import Answer, Clock
    from captriage.bench.profile import Profile

DC_VOLTAGE: Final = "dc_voltage"
DC_CURRENT: Final = "dc_current"
OUTPUT: Final = "output"

LEFT_V: Final = 5.0
"""Most that may stand at the terminals of an output that is off; ours. [V]"""

NEEDED: Final = ("set_voltage", "set_current_limit", "on", "off")
"""Actions without which nobody can have a supply under control; each must be confirmed."""


class HeldSupply:
    """A supply with one owner.

    Parameters
    ----------
    meter : Meter
        The supply; its profile has the actions :data:`NEEDED`.

    Raises
    ------
    ProfileError
        The profile is of no supply, or says too little of it.
    """

    def __init__(self, meter: Meter) -> None:
        self.meter = meter
        self.profile = meter.profile
        self.name = meter.name
        check_supply(self.profile, where=self.name)

    @classmethod
    def of(
        cls,
        profile: str,
        address: str,
        *,
        name: str,
        clock: Clock,
        backend: str = "@py",
        answer_s: float = inf,
    ) -> Self:
        """The supply at an address; it has at most ``answer_s`` for an answer. [s]

        Raises
        ------
        ProfileError
            The profile is not known, or says too little.
        """
        loaded = load_profile(profile)
        wire = loaded.transport
        quick = replace(wire, timeout_s=min(wire.timeout_s, answer_s))
        return cls(
            Meter(
                replace(loaded, transport=quick), address, name=name, clock=clock, backend=backend
            )
        )

    def open(self) -> str:
        """Connect; its identity.

        Raises
        ------
        Gone, Silent, Garbled
            It cannot be reached.
        CapTriageError
            Its output is on.
        """
        identity = self.meter.open()
        try:
            if self._output() == 1:
                raise CapTriageError(
                    f"{self.name}: its output is on already; see what hangs on it, switch it off "
                    "and begin again"
                )
        except BaseException:
            self.meter.wire.close()  # without its safe commands: whatever hangs on it is another's
            raise
        return identity

    def perform(self, action: str, **settings: float) -> Mapping[str, float]:
        """Do an action, and have the supply say that it is done; see :meth:`Meter.perform`."""
        return self.meter.perform(action, **settings)

    def look(self) -> tuple[Answer | None, Answer | None, int | None]:
        """Voltage and current at its terminals, and its output; None for what it cannot tell.

        Where the wire is dead it is connected again, if the same supply is there.

        Raises
        ------
        Gone, Silent, Garbled, Unset
            Nothing came that is to be believed.
        """
        self._mend()
        return self._read(DC_VOLTAGE), self._read(DC_CURRENT), self._output()

    def _mend(self) -> None:
        if not self.meter.wire.is_open:
            self.meter.reopen()

    def _read(self, function: str) -> Answer | None:
        if function not in self.profile.functions:
            return None
        self.meter.use(function)
        return self.meter.read()

    def _output(self) -> int | None:
        answer = self._read(OUTPUT)
        return None if answer is None else int(answer.values[0].value == 1)

    def connect(self) -> bool:
        """Connect where the wire is dead, without a question; whether there is a wire."""
        with suppress(MeterError):
            if not self.meter.wire.is_open:
                self.meter.wire.open()
            return True
        return False

    def off(self) -> str:
        """Switch off, and have it say so; why that is not sure, "" where it is.

        The command goes out before any question: a supply that is silent, or owes answers, may
        still hear it. An output is off when the supply says so and no voltage is left at its
        terminals; where one of them is not so, its voltage is set to nought and its own
        protection as low as it goes, which acts on another switch.
        """
        self._shout(("off", {}))
        try:
            self._mend()
            self.perform("off")
            fault = self._left()
        except MeterError as error:
            fault = str(error)
        if not fault:
            return ""
        lowest = self.profile.limits.get("protection_v", (1.0, 1.0))[0]
        self._shout(
            ("set_voltage", {"voltage_v": 0.0}), ("protect_voltage", {"protection_v": lowest})
        )
        with suppress(MeterError):
            if self._output() == 0:
                return self._left()
        return fault

    def _left(self) -> str:
        """What stands at the terminals of an output that should be off, in words; "" nothing."""
        answer = self._read(DC_VOLTAGE)
        volts = answer.values[0].value if answer is not None else 0.0
        if abs(volts) <= LEFT_V:
            return ""
        shown = answer.values[0].flag if isnan(volts) and answer else format_quantity(volts, "V")
        return (
            f"{self.name}: says that it is off, and {shown} stand at its terminals: they come "
            "from the part, or its output sticks"
        )

    def _shout(self, *actions: tuple[str, Mapping[str, float]]) -> None:
        """Send the commands of actions without a question before or after."""
        commands = [each for name, settings in actions for each in self._commands(name, settings)]
        for _ in range(2):
            try:
                self.connect()
                for command in commands:
                    self.meter.wire.tell(command)
            except Gone:
                continue  # connect anew, and say it once more
            except MeterError:
                return
            return

    def _commands(self, action: str, settings: Mapping[str, float]) -> Sequence[str]:
        if action not in self.profile.actions:
            return ()
        whole = settings_within(self.profile, settings)
        return filled_in(self.profile.actions[action], whole, where=self.name)

    def close(self) -> None:
        """Let it go."""
        self.meter.close()


def check_supply(profile: Profile, *, where: str) -> None:
    """Make sure that a supply can be had under control by its profile.

    Raises
    ------
    ProfileError
        It is no supply, or something is missing.
    """
    if profile.kind != SUPPLY:
        raise ProfileError(f"{where}: {profile.name} is a {profile.kind}; name a supply")
    missing = [name for name in NEEDED if not profile.confirm.get(name)]
    if missing or DC_VOLTAGE not in profile.functions:
        lacks = ", ".join(missing) or DC_VOLTAGE
        raise ProfileError(
            f"{where}: {profile.name} does not say how it is told or asked for {lacks}; write "
            "that into its profile, or carry the run out by hand"
        )

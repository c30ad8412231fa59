"""A meter on a wire: its profile says how to talk to it, its wire that the answer is its own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Final

from captriage.bench.commands import filled_in, settings_named, settings_within
from captriage.bench.confirming import obeyed, send
from captriage.bench.measured import Answer
from captriage.bench.replies import understand
from captriage.bench.wire import Wire
from captriage.errors import Garbled, MeterError, ProfileError, Silent

if TYPE_CHECKING:
    from captriage.bench.measured import Clock, Reads
    from captriage.bench.profile import Confirm, Function, Profile

SUPPLY: Final = "supply"
"""Kind of the profiles of supplies, and their role on the bench."""


class Meter:
    """What a profile describes, at an address; see :class:`captriage.bench.measured.Reads`.

    Parameters
    ----------
    profile : Profile
        What kind of meter it is.
    address : str
        VISA name.
    name : str
        What messages call it: "bridge".
    clock : Clock
        Stamps the answers and paces the messages.
    backend : str
        PyVISA backend; the pure-Python one unless said.
    """

    def __init__(
        self, profile: Profile, address: str, *, name: str, clock: Clock, backend: str = "@py"
    ) -> None:
        self.profile = profile
        self.name = name
        self.settings: Mapping[str, float] = {}
        self.unread: tuple[str, ...] = ()
        """What it was set to without saying so itself: names of settings, "function"."""
        self.last_reply = ""
        """As it came, whether it was understood or not."""
        self.wire = Wire(address, profile.transport, clock=clock, backend=backend, name=name)
        self._clock = clock
        self._function: Function | None = None
        self._asked: Mapping[str, float] = {}  # what it was told; settings is what it says
        self._identity = ""
        self._opened = False
        self._doubtful = False  # whether it may have lost its settings
        self._changed = False  # whether it was told anything but to identify and to read

    def open(self) -> str:
        """Connect, wake and identify; the identity as the meter gives it, "" where it cannot.

        Raises
        ------
        Gone, Silent, Garbled
            No meter, or not the one that the profile describes.
        """
        if not self.wire.is_open:
            self.wire.open()
        try:
            send(self.wire, self.profile.wake)
            if self.profile.identity_ask:
                self._identity = self.wire.identify(
                    self.profile.identity_ask, self.profile.identity
                )
        except BaseException:
            self.wire.close()
            raise
        self._opened = True
        return self._identity

    def use(self, function: str, **settings: float) -> None:
        """Set it up for a function of its profile; settings not given have the profile's values.

        Where the profile says how, it is asked whether it took them, and ``settings`` is then
        what it says; ``unread`` names what nobody asked for.

        Raises
        ------
        ProfileError
            It has no such function or setting, or a setting lies outside its limits.
        Gone, Silent, Garbled
            It did not take the set-up.
        Unset
            It says that it is set otherwise, or tells an error.
        """
        if function not in self.profile.functions:
            raise ProfileError(
                f"{self.name}: {function}: no function of {self.profile.name}; "
                f"it has {', '.join(self.profile.functions)}"
            )
        wanted = self.profile.functions[function]
        whole = settings_within(self.profile, settings)
        commands = filled_in(wanted.setup, whole, where=self.name)
        self._function, self._doubtful = None, False
        self._changed = self._changed or bool(commands)
        self._set_up(wanted, commands, whole)
        self._function = wanted

    def _set_up(
        self, function: Function, commands: Sequence[str], whole: Mapping[str, float]
    ) -> None:
        told = self._obeyed(commands, function.confirm, whole)
        named = {name for command in function.setup for name, _ in settings_named(command)}
        self._asked = {name: value for name, value in whole.items() if name in named}
        self.settings = {**self._asked, **told}
        unread = ["function"] if commands and not function.confirm else []
        self.unread = (*unread, *(name for name in self._asked if name not in told))

    def read(self) -> Answer:
        """One answer, checked; the time is that of its receipt.

        Raises
        ------
        ProfileError
            It was not told what to measure.
        Gone, Silent, Garbled
            There is none to be believed.
        Unset
            It had to be set up anew, and did not take it.
        """
        if self._function is None:
            raise ProfileError(f"{self.name}: not set up; choose one of its functions first")
        if self._doubtful:
            self._set_up_anew()
        try:
            return self._read(self._function)
        except (Silent, Garbled):
            # It may have been switched off and on meanwhile, and forgotten its settings.
            self._doubtful = self.profile.transport.asks
            raise

    def _read(self, function: Function) -> Answer:
        asked = function.read
        raw = self.wire.ask(asked) if asked else self.wire.next_line()
        utc, monotonic_s = self._clock.utc(), self._clock.monotonic()
        self.last_reply = raw
        values = understand(raw, function, settings=self.settings)
        return Answer(values, raw, utc, monotonic_s)

    def act(self, action: str, **settings: float) -> None:
        """Send an action of its profile ("beep", "on", "off", ...); none of that name, nothing.

        Raises
        ------
        ProfileError
            A setting is not known or lies outside its limits.
        Gone, Silent, Garbled
            It was not taken.
        Unset
            The meter says that it did not take it.
        """
        if action in self.profile.actions:
            self._act(action, settings)

    def perform(self, action: str, **settings: float) -> Mapping[str, float]:
        """Do an action, and have the meter itself say that it is done.

        Returns
        -------
        mapping of str to float
            Setting: what the meter says it now is, SI; none for an action without a number.

        Raises
        ------
        ProfileError
            The profile has no such action, or does not say how it is confirmed; a setting is
            not known or lies outside its limits.
        Gone, Silent, Garbled
            It was not taken, or nobody knows: the meter may have done it all the same.
        Unset
            The meter says that it is otherwise, or tells an error.
        """
        if not self.profile.confirm.get(action):
            known = ", ".join(self.profile.confirm) or "none"
            raise ProfileError(
                f"{self.name}: {action}: no action of {self.profile.name} that is confirmed; "
                f"there are: {known}"
            )
        return self._act(action, settings)

    def _act(self, action: str, settings: Mapping[str, float]) -> Mapping[str, float]:
        whole = settings_within(self.profile, settings)
        where = f"{self.name}: {action}"
        commands = filled_in(self.profile.actions[action], whole, where=where)
        self._changed = True
        confirms = self.profile.confirm.get(action, ())
        if confirms:
            return self._obeyed(commands, confirms, whole)
        send(self.wire, commands)
        return {}

    def _obeyed(
        self, commands: Sequence[str], confirms: Sequence[Confirm], settings: Mapping[str, float]
    ) -> dict[str, float]:
        return obeyed(
            self.wire, self.profile, commands, confirms, settings=settings, where=self.name
        )

    def reopen(self) -> str:
        """Connect again after :class:`Gone` and set it up as it was.

        Raises
        ------
        Gone, Silent, Garbled, Unset
            It is not back yet, another meter answers, or it does not take its settings.
        """
        if not self._opened:
            return self.open()
        self.wire.open()
        self._set_up_anew()
        return self._identity

    def _set_up_anew(self) -> None:
        """Wake it, see that it is the meter of before, and set it up as it was."""
        self._doubtful = self.profile.transport.asks  # until all of it is done
        send(self.wire, self.profile.wake)
        if self._identity:
            self.wire.resume()
        if self._function is not None:
            whole = {**self.profile.defaults, **self._asked}
            commands = filled_in(self._function.setup, whole, where=self.name)
            self._set_up(self._function, commands, whole)
        self._doubtful = False

    @property
    def parting(self) -> tuple[str, ...]:
        """What it is told on the way out: nothing where it was only read.

        A supply that someone else has switched on stays on, on whatever it feeds.
        """
        return self.profile.safe if self._changed else ()

    def close(self) -> None:
        """Send its safe commands if it was changed, and let it go. Never raises."""
        if self.wire.is_open:
            with suppress(MeterError):
                send(self.wire, self.parting)
        self.wire.close()
        self._opened = False


def parting_words(meter: Reads) -> str:
    """What a supply is about to be told on the way out, for a part may hang on it; "" nothing."""
    if not isinstance(meter, Meter) or meter.profile.kind != SUPPLY or not meter.parting:
        return ""
    return f"{meter.name} was set up or switched, and is told {', '.join(meter.parting)} now"

"""A meter on a wire: its profile says how to talk to it, its wire that the answer is its own."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from typing import TYPE_CHECKING, Final

from captriage.bench.commands import filled_in, settings_named, settings_within
from captriage.bench.measured import Answer
from captriage.bench.profile import Profile
from captriage.bench.profiles import load_profile, profile_paths
from captriage.bench.replies import understand
from captriage.bench.wire import Wire
from captriage.errors import Garbled, MeterError, ProfileError, Silent

if TYPE_CHECKING:
    from captriage.bench.measured import Clock, Reads
    from captriage.bench.profile import Function

KEYBOARD: Final = "keyboard"
"""Address of the person who reads a meter and types."""

PERSON: Final = "person"
"""Kind of the profiles that are for the keyboard."""

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
        self.last_reply = ""
        """As it came, whether it was understood or not."""
        self.wire = Wire(address, profile.transport, clock=clock, backend=backend, name=name)
        self._clock = clock
        self._function: Function | None = None
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
            self._send(self.profile.wake)
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

        Raises
        ------
        ProfileError
            It has no such function or setting, or a setting lies outside its limits.
        Gone, Silent, Garbled
            It did not take the set-up.
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
        self._send(commands)
        named = {name for command in wanted.setup for name, _ in settings_named(command)}
        self.settings = {name: value for name, value in whole.items() if name in named}
        self._function = wanted

    def read(self) -> Answer:
        """One answer, checked; the time is that of its receipt.

        Raises
        ------
        ProfileError
            It was not told what to measure.
        Gone, Silent, Garbled
            There is none to be believed.
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
        """
        commands = self.profile.actions.get(action, ())
        if commands:
            self._changed = True
            whole = settings_within(self.profile, settings)
            self._send(filled_in(commands, whole, where=f"{self.name}: {action}"))

    def reopen(self) -> str:
        """Connect again after :class:`Gone` and set it up as it was.

        Raises
        ------
        Gone, Silent, Garbled
            It is not back yet, or another meter answers.
        """
        if not self._opened:
            return self.open()
        self.wire.open()
        self._set_up_anew()
        return self._identity

    def _set_up_anew(self) -> None:
        """Wake it, see that it is the meter of before, and set it up as it was."""
        self._send(self.profile.wake)
        if self._identity:
            self.wire.resume()
        if self._function is not None:
            whole = {**self.profile.defaults, **self.settings}
            self._send(filled_in(self._function.setup, whole, where=self.name))
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
                self._send(self.parting)
        self.wire.close()
        self._opened = False

    def _send(self, commands: Iterable[str]) -> None:
        for command in commands:
            if command.split()[0].endswith("?"):
                self.wire.ask(command)
            else:
                self.wire.tell(command)


def parting_words(meter: Reads) -> str:
    """What a supply is about to be told on the way out, for a part may hang on it; "" nothing."""
    if not isinstance(meter, Meter) or meter.profile.kind != SUPPLY or not meter.parting:
        return ""
    return f"{meter.name} was set up or switched, and is told {', '.join(meter.parting)} now"


def open_meter(
    profile: Profile | str,
    address: str,
    *,
    name: str,
    clock: Clock,
    backend: str = "@py",
    prompt: Callable[[str], str] | None = None,
) -> Reads:
    """The meter at an address, whichever way it is spoken to; its ``open()`` is the caller's.

    Parameters
    ----------
    profile : Profile or str
        A profile, the name or path of one, or the name of a class that another package
        offers; where both exist, the profile.
    address : str
        VISA name, "keyboard", or whatever such a class takes.
    name : str
        What messages call it: "bridge".
    clock : Clock
        Stamps the answers.
    backend : str
        PyVISA backend; the pure-Python one unless said.
    prompt : callable, optional
        Shows a line to the person at the keyboard and returns what was typed.

    Raises
    ------
    ProfileError
        The profile is not known, cannot be used, or does not go with the address.
    """
    if isinstance(profile, str):
        if profile not in profile_paths():
            from captriage.bench.plugins import load_meter_class, meter_plugins

            if profile in meter_plugins():
                made = load_meter_class(profile)(address, clock)
                made.name = name
                return made
        profile = load_profile(profile)
    if (address == KEYBOARD) != (profile.kind == PERSON):
        raise ProfileError(
            f"{name}: {profile.name} at {address}; a profile of the kind person, such as typed, "
            "and the address keyboard go together"
        )
    if address != KEYBOARD:
        return Meter(profile, address, name=name, clock=clock, backend=backend)
    if prompt is None:
        raise ProfileError(f"{name}: there is nobody to type here; give the address of a meter")
    from captriage.bench.typed import TypedMeter

    return TypedMeter(profile, prompt, name=name, clock=clock)

"""The person as the meter: reads whatever instrument is at hand, and types."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Final

from captriage.bench.commands import settings_within
from captriage.bench.measured import Answer, Value
from captriage.bench.sent_units import DIMENSIONS
from captriage.bench.typed_words import EXAMPLES, understand_typed
from captriage.errors import Garbled, Gone, ProfileError

if TYPE_CHECKING:
    from captriage.bench.measured import Clock
    from captriage.bench.profile import Function, Profile

ASKED_AT_MOST: Final = 5  # times for one quantity; then nobody is reading the question
IDENTITY: Final = "typed by hand"
SPOKEN: Final = {"esr": "ESR", "tan_delta": "tan δ"}


class TypedMeter:
    """Someone who reads a meter and types; see :class:`captriage.bench.measured.Reads`.

    Parameters
    ----------
    profile : Profile
        Of the kind "person".
    prompt : callable
        Shows a line and returns what was typed. EOFError from it ends the meter.
    name : str
        What messages call it.
    clock : Clock
        Stamps the answers.
    """

    def __init__(
        self, profile: Profile, prompt: Callable[[str], str], *, name: str, clock: Clock
    ) -> None:
        self.profile = profile
        self.name = name
        self.settings: Mapping[str, float] = {}
        self._prompt = prompt
        self._clock = clock
        self._function: Function | None = None

    def open(self) -> str:
        """Nothing is to be connected; what the book has as identity."""
        return IDENTITY

    def use(self, function: str, **settings: float) -> None:
        """Ask for the quantities of this function from now on.

        Raises
        ------
        ProfileError
            The profile has no such function, or a setting lies outside its limits.
        """
        if function not in self.profile.functions:
            raise ProfileError(
                f"{self.name}: {function}: no function of {self.profile.name}; "
                f"it has {', '.join(self.profile.functions)}"
            )
        self.settings = settings_within(self.profile, settings)
        self._function = self.profile.functions[function]

    def read(self) -> Answer:
        """Ask for each quantity; what makes no sense is asked again, with the reason.

        Returns
        -------
        Answer
            Its ``raw`` is what was typed, "; " between quantities; the time is that of the
            last of them.

        Raises
        ------
        ProfileError
            It was not told what to ask for.
        Garbled
            Five times running, what was typed made no sense.
        Gone
            The input has ended.
        """
        if self._function is None:
            raise ProfileError(f"{self.name}: not set up; choose one of its functions first")
        typed = [self._ask(quantity) for quantity in self._function.measures]
        return Answer(
            tuple(value for value, _ in typed),
            "; ".join(text for _, text in typed),
            self._clock.utc(),
            self._clock.monotonic(),
        )

    def act(self, action: str, **settings: float) -> None:
        """Nothing: a person is told what to do elsewhere. Settings are checked all the same.

        Raises
        ------
        ProfileError
            A setting lies outside its limits.
        """
        if action in self.profile.actions:
            settings_within(self.profile, settings)

    def reopen(self) -> str:
        """As :meth:`open`."""
        return self.open()

    def close(self) -> None:
        """Nothing is to be let go."""

    def _ask(self, quantity: str) -> tuple[Value, str]:
        """One quantity: its value, and the text it was typed as."""
        steps = self._function.accuracy[quantity] if self._function is not None else ()
        spoken = SPOKEN.get(quantity, quantity.replace("_", " "))
        question = f"{spoken}, like {EXAMPLES[DIMENSIONS[quantity]]}: "
        problem = ""
        for _ in range(ASKED_AT_MOST):
            try:
                text = self._prompt(f"{problem}\n{question}" if problem else question)
            except EOFError as error:
                raise Gone(f"{self.name}: the input has ended; start again to type more") from error
            try:
                return understand_typed(text, quantity, steps), text.strip()
            except Garbled as error:
                problem = str(error)
        raise Garbled(f"{self.name}: {problem}; asked {ASKED_AT_MOST} times")

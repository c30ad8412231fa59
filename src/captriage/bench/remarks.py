"""What the person sees of a part, told with a key or two, or in words."""

from __future__ import annotations

from typing import Final

from captriage.bench.asking import LOOK_S
from captriage.bench.sitting import ENTER, QUIT, Ended, Part, Sitting
from captriage.columns import LOOKS

CODES: Final = {
    # One letter, or two where the first is shared.
    "so": "sound",
    "bu": "bulged",
    "bs": "burst",
    "bt": "broken terminal",
    "v": "vented",
    "l": "leaked",
    "re": "residue",
    "rv": "reversed",
    "sc": "scorched",
    "sp": "split",
    "sl": "sleeve",
    "c": "corroded",
    "d": "dented",
    "p": "polarity unclear",
    "w": "warm",
    "n": "noisy",
}

HELP: Final = "Enter take, r redo, s skip, b back, n note, l looks, q quit"

ASIDE: Final = "n note, l looks, q quit"
"""Keys that mean something while a part is only watched."""

CHOICES: Final = ", ".join(f"{code} {look}" for code, look in CODES.items())


def remark(sitting: Sitting, part: Part, key: str, *, keys: str = HELP) -> None:
    """Do what a key asks for that has to do with no reading; "n TEXT" and "l CODE" in one line.

    At any other, ``keys`` are listed.

    Raises
    ------
    Ended
        It is the key that ends.
    """
    word, _, rest = key.partition(" ")
    if key == QUIT:
        raise Ended("ended by the person")
    if word == "n":
        ask_note(sitting, part, rest.strip())
    elif word == "l":
        ask_look(sitting, part, rest.strip())
    else:
        sitting.show.tell("keys", keys)


def pressed(sitting: Sitting, part: Part) -> bool:
    """Whether Enter is waiting; any other key is obeyed.

    Raises
    ------
    Ended
        It is the key that ends.
    """
    key = sitting.keys.poll()
    if key is None or key == ENTER:
        return key == ENTER
    remark(sitting, part, key, keys=ASIDE)
    return False


def pressed_until(sitting: Sitting, part: Part, due_s: float) -> bool:
    """Wait until this moment, or until Enter is pressed: whether it was.

    Raises
    ------
    Ended
        The key that ends was pressed.
    """
    while (left := due_s - sitting.clock.monotonic()) > 0:
        if pressed(sitting, part):
            return True
        sitting.clock.sleep(min(LOOK_S, left))
    return False


def look_of(typed: str) -> str | None:
    """The look that a code or its word stands for; None for anything else."""
    said = " ".join(typed.lower().split())
    return CODES.get(said) or (said if said in LOOKS else None)


def ask_look(sitting: Sitting, part: Part, said: str = "") -> None:
    """Keep what is seen of a part, asked for where it was not ``said`` at once."""
    if not said:
        sitting.show.tell("looks", CHOICES)
    # A whole line, so that no letter of a word is taken for a key.
    typed = said or (sitting.keys.line(f"looks of {part.part}: ") or "").strip()
    look = look_of(typed)
    if look is None:
        sitting.show.tell("looks", f"nothing kept: {typed or 'Enter'} is none of {CHOICES}")
        return
    sitting.records.look(part, look, typed)
    sitting.show.tell("looks", f"{part.part}: {look} ({LOOKS[look]})")


def ask_note(sitting: Sitting, part: Part, said: str = "") -> None:
    """Keep a note on a part, asked for where it was not ``said`` at once."""
    text = said or (sitting.keys.line(f"note on {part.part}: ") or "").strip()
    if text:
        sitting.records.event("note", text, part)
        sitting.show.tell("note", f"{part.part}: {text}")

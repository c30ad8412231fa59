"""What is known of a kind of meter: how it is asked, how its replies read, how far to trust it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf
from typing import Final

KINDS: Final = {
    "lcr bridge": "capacitance with loss or series resistance, at a set frequency",
    "multimeter": "direct current and voltage, resistance, temperature",
    "supply": "direct voltage, with a current limit and an output that can be switched",
    "person": "someone who reads a meter and types",
}

NO_ERROR: Final = "[+-]?0|[+-]?0,.*"
"""SCPI-99, SYSTem:ERRor: ``0,"No error"``; some send a sign before it, or the number alone."""


@dataclass(frozen=True, slots=True)
class Transport:
    """What the wire needs to know; times in seconds, ``baud`` in bits a second."""

    write_end: str = "\n"
    read_end: str = "\n"
    baud: int = 9600
    data_bits: int = 8
    parity: str = "none"  # none, even, odd
    stop_bits: float = 1
    flow: str = "none"  # none, xon/xoff, rts/cts
    timeout_s: float = 2.0  # for the whole of one answer
    pause_s: float = 0.0  # least time between two messages
    echo: bool = False  # each question comes back before its answer
    asks: bool = True  # False: the meter sends lines unasked and is never written to


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a reply: a quantity and the unit it is sent in ("" for SI), or the status."""

    # "" for a field that is not kept, "status" for the status, the name of a setting
    # ("frequency_hz") for one that the reply repeats and that must be as it was set
    quantity: str
    unit: str = ""
    optional: bool = False  # the reply may end before it


@dataclass(frozen=True, slots=True)
class Reply:
    """How a reply reads: fields between separators, or a pattern with named groups."""

    fields: tuple[Field, ...] = ()
    separator: str = ""  # "": the reply is one field
    pattern: str = ""  # groups named for quantities, "<quantity>_unit" and "status"
    status_ok: frozenset[str] = frozenset()
    status_words: Mapping[str, str] = field(default_factory=dict)  # status: what it means
    over_range_status: frozenset[str] = frozenset()
    over_range_words: frozenset[str] = frozenset()  # "OL", "OVER", in place of a number
    not_ready_words: frozenset[str] = frozenset()  # "----": no number, and nothing is wrong
    number_words: Mapping[str, float] = field(default_factory=dict)  # "ON" = 1
    over_range_at: float = 9.89e37  # this or more, of either sign, is no number


@dataclass(frozen=True, slots=True)
class Accuracy:
    """Largest error of a reading of at most ``up_to``: a share of it and a floor, in its unit."""

    of_reading: float
    floor: float
    up_to: float = inf
    noise: float = 0.0  # share of the reading by which a steady part's readings differ
    noise_floor: float = 0.0  # and that difference near zero, in its unit
    of_reactance: float = 0.0  # of a series resistance: share of the reactance, the phase error


@dataclass(frozen=True, slots=True)
class Confirm:
    """How a meter is asked whether it took a command, and what it then answers."""

    ask: str
    answers: tuple[str, ...] = ()  # any of these says so
    setting: str = ""  # or: the answer is the number of this setting


@dataclass(frozen=True, slots=True)
class Function:
    """One thing a meter can measure."""

    name: str  # "impedance", "dc_current", "dc_voltage", "resistance", "temperature" ...
    setup: tuple[str, ...]
    read: str  # "" for a meter that sends unasked
    reply: Reply
    accuracy: Mapping[str, tuple[Accuracy, ...]]  # quantity: by range, ascending
    range_high: Mapping[str, float] = field(default_factory=dict)  # quantity: the most it reads
    confirm: tuple[Confirm, ...] = ()  # asked after the set-up

    @property
    def measures(self) -> tuple[str, ...]:
        """Quantities in the order of the reply."""
        return tuple(self.accuracy)


@dataclass(frozen=True, slots=True)
class Transcript:
    """A dialogue that proves a profile: settings, lines said and answered, the reading meant."""

    function: str
    settings: Mapping[str, float]
    lines: tuple[tuple[str, ...], ...]  # (said,) or (said, answered)
    reading: Mapping[str, float]  # quantity: SI value; NaN where no number may come out
    flag: str = ""


@dataclass(frozen=True, slots=True)
class Profile:
    """One kind of meter, read from a TOML file."""

    name: str  # the file's name without its ending
    title: str
    kind: str  # key of KINDS
    speaks: str  # command language: "SCPI", "plain text"
    transport: Transport
    functions: Mapping[str, Function]
    identity_ask: str = ""  # "" where the meter cannot tell who it is
    identity: str = ".+"  # pattern that the whole reply must match
    error_ask: str = ""  # "" where it keeps no list of errors
    error_none: str = NO_ERROR  # pattern of the whole reply where there is none
    wake: tuple[str, ...] = ()
    safe: tuple[str, ...] = ()  # sent on the way out, whatever happened
    actions: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    confirm: Mapping[str, tuple[Confirm, ...]] = field(default_factory=dict)  # by action
    limits: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    defaults: Mapping[str, float] = field(default_factory=dict)
    transcripts: tuple[Transcript, ...] = ()
    accuracy_from: str = ""  # "its manual, page 31", "common practice"; "" untold
    path: str = ""

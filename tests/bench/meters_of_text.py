"""Functions of three meters, without a meter: replies are texts."""

from __future__ import annotations

from dataclasses import replace

from captriage.bench.profile import Accuracy, Field, Function, Reply
from captriage.bench.replies import understand

FREQUENCY = {"frequency_hz": 120.0}
BRIDGE = Function(
    name="impedance",
    setup=(),
    read="FETC?",
    reply=Reply(
        fields=(
            Field("capacitance"),
            Field("esr", "mΩ"),
            Field("status"),
            Field("", optional=True),
        ),
        separator=",",
        status_ok=frozenset({"0"}),
        over_range_status=frozenset({"1"}),
        status_words={"-1": "no data", "1": "overload", "4": "level not reached"},
    ),
    accuracy={"capacitance": (Accuracy(0.01, 1e-9),), "esr": ()},
    range_high={"capacitance": 0.1},
)
METER = Function(
    name="dc_current",
    setup=(),
    read="READ?",
    reply=Reply(
        fields=(Field("current"),),
        over_range_words=frozenset({"OL", "O.L"}),
        not_ready_words=frozenset({"----"}),
    ),
    accuracy={"current": (Accuracy(0.01, 1e-9),)},
    range_high={"current": 0.2},
)
UNITS = replace(
    METER,
    reply=replace(
        METER.reply, fields=(), pattern=r"(?:DC )?(?P<current>[^ ]+) *(?P<current_unit>[^ ]*)"
    ),
)


def only(text, function=METER, settings=FREQUENCY):
    """The one value of a reply."""
    (value,) = understand(text, function, settings=settings)
    return value

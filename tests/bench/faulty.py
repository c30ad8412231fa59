"""Faults of the bench, the steps at which they are injected, and what came of it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from captriage.bench.rehearsal.natures import Nature

TIMEOUT_S = 0.08  # of the meters' profiles
LATE_S = 0.19  # more than one timeout late, and less than three
READINGS = 3
ENOUGH = {"over-range": 20, "bad-status": 6, "noise": 20, "echo": 7, "deaf": 14}
ENOUGH_OF_OTHERS = 3
"""Answers struck before a lasting fault ends; an echo lasts until a person has been asked."""

BRIDGE_FAULTS = (
    *("silence", "late", "garbage", "echo", "dropped", "terminator"),
    *("over-range", "bad-status", "noise", "unplug", "stranger", "deaf"),
)
VOLTMETER_FAULTS = tuple(fault for fault in BRIDGE_FAULTS if fault != "bad-status")

TAKING = tuple(f"reading {number}" for number in range(1, READINGS + 1))
STEPS = ("nothing", "noticed", "settling", *TAKING, "beep", "waiting", "swap", "reopen")
"""Before the part is noticed; while it is; ...; as the bridge is told to beep; while the part is
waited for to come off; the same, with the next part clipped on meanwhile; during a reopen."""

CHARGED = "charged"
"""While the voltmeter shows that the part holds a charge: for the voltmeter only."""

OPENING = ("identity", "set-up")
"""Before the first question, and between the identity and the set-up."""

BEGINNINGS = [
    # Nobody asks who a meter is between its identity and the set-up.
    (fault, step)
    for fault in BRIDGE_FAULTS
    for step in OPENING
    if (fault, step) != ("stranger", "set-up")
]

SAID = {
    # fault: what the person is told, whatever else happens
    "silence": r"no (answer to '\S+'|line came) within 0\.08 s|no longer answers '\*IDN\?'",
    "late": r"no (answer to '\S+'|line came) within 0\.08 s|no longer answers '\*IDN\?'",
    "garbage": r"is not ASCII text|no longer answers '\*IDN\?'|(impedance|dc_voltage|dc_current): ",
    "echo": r"the meter echoes|more than one line in answer|came where the echo",
    "dropped": r"the meter closed the connection|the port is gone|no longer answers '\*IDN\?'",
    "terminator": r"without the line end|is not ASCII text|no longer answers '\*IDN\?'",
    "unplug": r"the meter closed the connection|connection refused|the port is gone",
    "stranger": r"'SOMEONE,ELSE,0,9'",
    "bad-status": r"no reading: status \+3, source overloaded",
    "deaf": r"asked for \S+, (BIAS:STAT|FUNC)\? says \S+[;,]|not the unit|the unit 'V'",
}
LEFT = {
    # meter: how whoever used it before has left it, or what it is like when it is switched on
    "bridge": "*RST;BIAS:STAT 1",
    "voltmeter": "CONF:CURR:DC",
    "ammeter": "CONF:VOLT:DC",
    "query": "CONF:VOLT:DC",
}
OVER_RANGE = {
    # Of a bridge that says the same of open clips, and of the voltmeter.
    "bridge": r"came off before all readings were taken",
    "voltmeter": r"voltmeter shows over range: nothing is measured",
    # In the jig it is kept as what it is; before the voltage it is no voltage.
    "ammeter": r"jumped for a moment|taken .* over range",
    "query": r"jumped for a moment|taken .* over range",
    "stream": r"taken .* over range",
}
LIKE_OPEN_CLIPS = ("nothing", "noticed", "beep", "waiting", "swap", "reopen", *OPENING)
"""Steps at which a bridge that is over range cannot be told from open clips; no harm is done."""


@dataclass(frozen=True)
class Strike:
    """An answer that a fault struck, or an unplug."""

    at_s: float
    meter: str
    kind: str


@dataclass
class Case:
    """One fault at one step of one part's capture."""

    fault: str
    step: str
    lasting: bool = False
    meter: str = "bridge"
    part: str = ""
    struck: int = 0  # answers
    begun: int | None = None  # line of the screen at which it was injected
    outcome: str = ""

    def __str__(self):
        lasts = "lasting" if self.lasting else "once"
        return f"{self.meter} {self.fault} {lasts} at {self.step} of {self.part}"

    @property
    def wanted(self):
        """What the person must have been told; "" for nothing."""
        if self.fault == "over-range":
            unseen = self.meter == "bridge" and self.step in LIKE_OPEN_CLIPS
            unseen = unseen or self.step == CHARGED  # nothing is measured anyhow
            return "" if unseen else OVER_RANGE[self.meter]
        if self.fault in ("stranger", "bad-status") and self.step in OPENING:
            # Who it is was asked until it was the same twice; and what comes before anything
            # else in place of a number is what a meter may make of open clips.
            return ""
        if (self.fault, self.step) == ("echo", "reopen"):
            return "is back after"  # the identity came behind its question, and was known by it
        return SAID.get(self.fault, "")


def drawer(names, charged=()):
    """Parts of which no two are alike."""
    return [
        Nature(
            part=name,
            kind="fresh",
            capacitance_rated=10e-6 * 1.5**place,
            voltage_rated=63.0,
            capacitance=10.6e-6 * 1.5**place,
            resistance=4.0 / 1.4**place,
            holds_v=12.0 if name in charged else 0.0,
        )
        for place, name in enumerate(names)
    ]


def laid_out(cases):
    """Name the part of each case; a calm part comes after each fault that may reach the next.

    Another comes first, but where the fault does: what open clips read is known from then on.
    """
    names = [] if cases[0].step in OPENING else ["C1"]
    for case in cases:
        case.part = f"F{len(names) + 1}"
        names.append(case.part)
        if case.step in ("beep", "waiting", "swap"):
            names.append(f"C{len(names) + 1}")
    return [*names, f"C{len(names) + 1}"]


class Outcomes:
    """How often each fault at each step ended in which way."""

    def __init__(self):
        self.counts = defaultdict(lambda: defaultdict(int))

    def add(self, cases):
        """Count cases in."""
        for case in cases:
            self.counts[f"{case.meter} {case.fault}", case.step][case.outcome] += 1

    @property
    def total(self):
        """How many ended in each way."""
        total = defaultdict(int)
        for cell in self.counts.values():
            for outcome, count in cell.items():
                total[outcome] += count
        return dict(sorted(total.items()))

    def table(self, steps):
        """Fault by step, and how often each ended in which way."""
        rows = list(dict.fromkeys(fault for fault, _ in self.counts))
        lines = [f"{'':22}" + "".join(f"{step:>10}" for step in steps)]
        for row in rows:
            cells = (self.counts.get((row, step), {}) for step in steps)
            lines.append(f"{row:22}" + "".join(f"{_cell(cell):>10}" for cell in cells))
        said = ", ".join(f"{count} {outcome}" for outcome, count in self.total.items())
        many = sum(self.total.values())
        return "\n".join([*lines, f"{many} faults injected: {said} (+ went on, . ended safely)"])


def _cell(cell):
    marks = {"went on": "+", "ended safely": "."}
    return " ".join(f"{count}{marks[outcome]}" for outcome, count in sorted(cell.items()))

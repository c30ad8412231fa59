"""A drawer walked by a person who does what is asked, at a bench whose meters fail."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from bench.at_the_bench import Sitting
from bench.faulty import (
    CHARGED,
    ENOUGH,
    ENOUGH_OF_OTHERS,
    LATE_S,
    OPENING,
    READINGS,
    SAID,
    TIMEOUT_S,
    drawer,
    laid_out,
)
from bench.witness import Witness
from captriage.bench import asking
from captriage.bench.meter import Meter
from captriage.errors import MeterError


@dataclass
class Person:
    """What the hands of the person know."""

    part: str = ""  # that the program asks for
    taken: int = 0  # of it in a row


class FaultySitting(Sitting):
    """A drawer walked by a person who does what is asked, at a bench whose meters fail."""

    def __init__(self, folder, cases, **bench):
        self.names = laid_out(cases)
        self.cases = {case.part: case for case in cases}
        charged = [case.part for case in cases if case.step == CHARGED]
        natures = drawer(self.names, charged)
        rows = [
            {
                "part": nature.part,
                "capacitance_rated": nature.capacitance_rated,
                "voltage_rated": nature.voltage_rated,
                "made": 1984.0,
            }
            for nature in natures
        ]
        super().__init__(folder, rows, drawer=natures, **bench)
        self.person = Person()
        self.active = None
        self.reopened = 0
        self.shown.status = self._status
        self.witness = Witness(self.bench, struck=self._struck)
        self._patch = pytest.MonkeyPatch()

    def __enter__(self):
        super().__enter__()
        self._patch.setattr(asking, "FIRST_PAUSE_S", 0.01)
        self._patch.setattr(asking, "LONGEST_PAUSE_S", 0.05)
        self._patch.setattr(Meter, "reopen", self._reopening(Meter.reopen))
        self._patch.setattr(Meter, "use", self._using(Meter.use))
        return self

    def __exit__(self, *error):
        self._patch.undo()
        super().__exit__(*error)

    def meter(self, name):
        """With a short timeout, and an identity that a stranger has not."""
        meant = super().meter(name)
        profile = Path(meant.profile)
        text = re.sub("timeout_s = .*", f"timeout_s = {TIMEOUT_S}", profile.read_text("utf-8"))
        text = re.sub("(?m)^identity = .*", "identity = 'CAPTRIAGE,REHEARSAL .*'", text)
        profile.write_text(text, "utf-8")
        return meant

    def walk(self, **more):
        """Walk the drawer."""
        return self.log(readings=READINGS, **more)

    # Faults

    def inject(self, case):
        """Have the meter fail from its next answer on."""
        if case.begun is None:
            case.begun = len(self.shown.lines)
        if case.step == "reopen" and case is not self.active:
            self.active = case
            self.witness.unplugged(case.meter)
            self.do(f"unplug {case.meter}")
            return
        self.active = case
        self.reopened = 0
        once = "" if case.lasting else "once"
        replaced = case.fault == "stranger" and case.step not in OPENING
        if case.fault == "unplug" or replaced:
            case.struck += case.fault == "unplug"
            self.witness.unplugged(case.meter)
            self.do(f"unplug {case.meter}")
        if case.fault != "unplug":
            late = LATE_S if case.fault == "late" else ""
            self.do(f"fault {case.meter} {case.fault} {late} {once}")

    def clear(self, case):
        """The fault ends, and whatever was unplugged is plugged in."""
        self.do(f"fault {case.meter} none")
        self.do(f"replug {case.meter}")

    def _struck(self, meter, kind):
        """An answer was struck; in the thread of that meter."""
        case = self.active
        if case is None or (case.meter, case.fault) != (meter, kind):
            return
        case.struck += 1
        if case.lasting and case.struck >= ENOUGH.get(kind, ENOUGH_OF_OTHERS):
            self.bench.faults[meter].set(None)

    def _reopening(self, reopen):
        def counted(meter):
            self.reopened += 1
            case = self.active
            if not self.bench.ports[meter.name].plugged:
                long_out = case.lasting and case.fault == "unplug"
                if self.reopened >= (3 if long_out else 1):
                    self._plugged_in_again(case)
            return reopen(meter)

        return counted

    def _plugged_in_again(self, case):
        if case.step == "reopen" and not case.struck and case.fault != "unplug":
            self.inject(case)
        self.do(f"replug {case.meter}")

    def _using(self, use):
        def prepared(meter, function, **settings):
            for case in self.cases.values():
                if case.step == "set-up" and case.meter == meter.name and case.begun is None:
                    self.inject(case)
            return use(meter, function, **settings)

        return prepared

    # The person

    def _at(self, step):
        """Whether the fault of the part at hand is to begin at this step."""
        case = self.cases.get(self.person.part)
        if case is not None and case.begun is None and case.step == step:
            self.inject(case)

    def _status(self, text):
        part, _, rest = text.partition(": ")
        if "HOLDS" in text and self.person.part in self.cases:
            self.do(f"discharge {self.person.part}")
        if part != self.person.part:
            return
        state = rest.partition("  ")[0]
        if state in ("noticed", "settling"):
            self._at(state)
        elif state == "taking" and not self.person.taken:
            self._at("reading 1")
        elif state.startswith("waiting"):
            self._waiting()

    def _waiting(self):
        case = self.cases.get(self.person.part)
        if case is None or case.step not in ("waiting", "swap"):
            return
        if case.begun is not None:
            if not self.bench.faults[case.meter].kind:
                self.do("off")
            return
        self.inject(case)
        if case.step == "swap":
            following = self.names[self.names.index(case.part) + 1]
            self.do(f"clip {following}")

    def _happened(self, line):
        super()._happened(line)
        person = self.person
        if begun := re.match(r"ready  (\w+): clip it on", line):
            person.part, person.taken = begun[1], 0
            self._at("nothing")
            self.do(f"clip {person.part}")
        elif line.startswith("taken  "):
            person.taken += 1
            self._at(f"reading {person.taken + 1}")
            if person.taken == 2:
                self._at("reopen")
        elif line.startswith("struck "):
            person.taken = 0
        elif line.startswith("done   "):
            self._at("beep")
            case = self.cases.get(person.part)
            if case is None or case.step not in ("waiting", "swap"):
                self.do("off")
        elif line.startswith("gap    ") and "is back after" in line:
            self._back()
        else:
            self._asked(line)

    def _back(self):
        """A meter that is unplugged during the reopen is lost once more, at once."""
        case = self.active
        if case.step == "reopen" and case.fault == "unplug" and not case.struck:
            self.inject(case)

    def _asked(self, line):
        part = self.person.part
        if "HOLDS" in line and line.startswith("CHARGE"):
            self._at(CHARGED)
        elif "reads otherwise now: open the clips" in line or "comes next: open the clips" in line:
            self.do("off")
        elif "may come: the clips are open" in line:
            self.do(f"clip {part}")
        elif "reads just as the part before" in line:
            self.do("key " if self.bench.wiring.clips == part else f"off; clip {part}")
        elif "does not answer: Enter asks again" in line:
            self.clear(self.active)
            self.type("")

    # What has come of it

    def told(self, case):
        """Lines since the fault began, until the next one's."""
        later = [each.begun for each in self.cases.values() if each.begun is not None]
        end = min((at for at in later if at > case.begun), default=len(self.shown.lines))
        return self.shown.lines[case.begun : end]

    def check(self):
        """Nothing wrong is in the book; each fault struck, was told and is kept as an event."""
        self.witness.check(self.rows(None, None), readings=READINGS)
        assert self._events_told() == self._events_kept()
        for case in self.cases.values():
            assert case.begun is not None, f"{case}: never begun"
            assert case.struck, f"{case}: never struck"
            lines = self.told(case)
            assert re.search(case.wanted, "\n".join(lines)), f"{case}: not told\n{lines}"

    def _events_told(self):
        told = []
        for line in self.shown.lines:
            label, text = line[:7].strip(), line[7:]
            if label == "fault":
                told.append(("fault", text.removesuffix("; asking again")))
            elif label == "gap":
                begins = text.endswith("; connecting again until it is back (q ends)")
                ends = "is back after" in text
                word = "begins" if begins else "ends" if ends else ""
                text = text.removesuffix("; connecting again until it is back (q ends)")
                told.append(("gap", f"{word}: {text}" if word else text))
        return told

    def _events_kept(self):
        return [(kind, text) for kind, _, text in self.events() if kind in ("fault", "gap")]


def walked(folder, cases, **bench):
    """Walk a drawer with one fault in each of the parts named; all must be true in the end."""
    with FaultySitting(folder, cases, **bench) as sitting:
        summary = sitting.walk()
        assert (summary.ended, summary.skipped, summary.left) == ("", [], [])
        assert summary.done == sitting.names
        sitting.check()
    for case in cases:
        case.outcome = "went on"
    return sitting


def opened(folder, case, **bench):
    """Begin with a meter that fails: it goes on, or ends in words and goes on when asked again."""
    with FaultySitting(folder, [case], **bench) as sitting:
        if case.step == "identity":
            sitting.inject(case)
        refused = ""
        try:
            summary = sitting.walk()
        except MeterError as error:
            refused = str(error)
        if refused:
            case.outcome = "ended safely"
            assert case.struck, f"{case}: never struck"
            assert re.search(SAID[case.fault], refused), f"{case}: {refused}"
            assert sitting.rows(None, None) == []
            sitting.clear(case)
            summary = sitting.walk()
            sitting.witness.check(sitting.rows(None, None), readings=READINGS)
        else:
            case.outcome = "went on"
            sitting.check()
        assert summary.done == sitting.names
    return sitting

"""A drawer walked by a person who does what is asked, at a bench whose meters fail."""

from __future__ import annotations

import re
from dataclasses import dataclass

from bench.failing import Failing
from bench.faulty import CHARGED, READINGS, SAID, drawer, laid_out
from bench.witness import Witness
from captriage.errors import MeterError
from captriage.jobs.desk import Desk


@dataclass
class Person:
    """What the hands of the person know."""

    part: str = ""  # that the program asks for
    taken: int = 0  # of it in a row


class NoAdvice:
    """In place of limits and verdicts, which take more time than all the rest."""

    def limits(self, part):
        """None."""
        del part
        return ""

    def verdict(self, part):
        """None."""
        del part
        return ()

    def standing(self):
        """Nothing."""
        return ""


class FaultySitting(Failing):
    """A drawer walked by a person who does what is asked, at a bench whose meters fail."""

    def __init__(self, folder, cases, *, advised, **bench):
        self.names = laid_out(cases)
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
        super().__init__(folder, cases, rows, drawer=natures, **bench)
        self.advised = advised
        self.person = Person()
        self.shown.status = self._status
        self.witness = Witness(self.bench)

    def __enter__(self):
        super().__enter__()
        if not self.advised:
            self._patch.setattr(Desk, "advice", lambda *_, **__: NoAdvice())
        return self

    def walk(self, **more):
        """Walk the drawer."""
        return self.log(readings=READINGS, **more)

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
            if self.bench.wiring.clips is None:
                self.do(f"clip {person.part}")  # else the person is slower than the program
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
        elif line.endswith(": Enter asks again, s passes over, q ends"):
            self.clear(self.active)
            self.type("")

    # What has come of it

    def check(self):
        """Nothing wrong is in the book; each fault struck, was told and is kept as an event."""
        self.check_values()
        for case in self.cases.values():
            self.check_told(case)

    def check_values(self):
        """Nothing wrong is in the book."""
        self.witness.check(self.rows(None, None), self.strikes, readings=READINGS)


def walked(folder, cases, *, advised=False, **bench):
    """Walk a drawer with one fault in each of the parts named; all must be true in the end."""
    with FaultySitting(folder, cases, advised=advised, **bench) as sitting:
        summary = sitting.walk()
        assert (summary.ended, summary.skipped, summary.left) == ("", [], [])
        assert summary.done == sitting.names
        sitting.check()
    for case in cases:
        case.outcome = "went on"
    return sitting


def opened(folder, case, **bench):
    """Begin with a meter that fails: it goes on, or ends in words and goes on when asked again."""
    with FaultySitting(folder, [case], advised=False, **bench) as sitting:
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
            sitting.check_values()
        else:
            case.outcome = "went on"
            sitting.check()
        assert summary.done == sitting.names
    return sitting

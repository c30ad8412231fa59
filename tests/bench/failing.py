"""A sitting in which meters fail at exact steps; what the person was told, and what was kept."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest

from bench.at_the_bench import Sitting
from bench.faulty import ENOUGH, ENOUGH_OF_OTHERS, LATE_S, LEFT, OPENING, TIMEOUT_S, Strike
from captriage.bench import asking, reconnect
from captriage.bench.meter import Meter


class Failing(Sitting):
    """A sitting with a fault for each of the cases, which are injected as it goes on."""

    def __init__(self, folder, cases, parts, **bench):
        super().__init__(folder, parts, **bench)
        self.cases = {case.part: case for case in cases}
        self.active = None
        self.reopened = 0
        self.strikes: list[Strike] = []
        for name, faults in self.bench.faults.items():
            faults.spent = self._counting(name, faults.spent)
        self._patch = pytest.MonkeyPatch()

    def __enter__(self):
        super().__enter__()
        self._patch.setattr(reconnect, "FIRST_PAUSE_S", 0.01)
        self._patch.setattr(reconnect, "LONGEST_PAUSE_S", 0.05)
        self._patch.setattr(asking, "SILENT_PAUSE_S", 0.05)
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

    def inject(self, case, *, after=0):
        """Have the meter fail from its next answer on, or after so many more."""
        if case.begun is None:
            case.begun = len(self.shown.lines)
        if case.step == "reopen" and case is not self.active:
            self.active = case
            self._unplug(case.meter)
            return
        self.active = case
        self.reopened = 0
        once = "" if case.lasting else "once"
        replaced = case.fault in ("stranger", "deaf") and case.step not in OPENING
        if case.fault == "deaf":
            self.bench.ports[case.meter].instrument.answer(LEFT[case.meter])
        if case.fault == "unplug" or replaced:
            case.struck += case.fault == "unplug"
            self._unplug(case.meter)
        if case.fault != "unplug":
            late = LATE_S if case.fault == "late" else ""
            self.do(f"fault {case.meter} {case.fault} {late} {once} after={after}")

    def clear(self, case):
        """The fault ends, and whatever was unplugged is plugged in."""
        self.do(f"fault {case.meter} none")
        self.do(f"replug {case.meter}")

    def _unplug(self, meter):
        self.strikes.append(Strike(time.monotonic(), meter, "unplug"))
        self.do(f"unplug {meter}")

    def _counting(self, name, spent):
        """Called for each answer of a meter, in the thread of that meter."""

        def counted(fault):
            spent(fault)
            if fault is not None:
                self.strikes.append(Strike(time.monotonic(), name, fault.kind))
                self._struck(name, fault.kind)

        return counted

    def _struck(self, meter, kind):
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

    def told(self, case):
        """Lines since the fault began, until the next one's."""
        later = [each.begun for each in self.cases.values() if each.begun is not None]
        end = min((at for at in later if at > case.begun), default=len(self.shown.lines))
        return self.shown.lines[case.begun : end]

    def check_told(self, case):
        """The fault struck, the person was told, and all that was told is kept as an event."""
        assert self._events_told() == self._events_kept()
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

"""What is told and kept, on paper; meters that show what a script says, in scripted time."""

from datetime import UTC, datetime, timedelta
from math import isnan, nan

from captriage.bench.measured import Answer, Value
from captriage.bench.sitting import Kept, Sitting
from captriage.bench.soak import Soak
from captriage.store.rows import PartRow

NOON = datetime(1959, 5, 1, 12, tzinfo=UTC)
PART = PartRow(id=1, part="D1", capacitance_rated=32e-6, voltage_rated=450.0)
LESS_THAN = 1e-5  # what "below range" bounds
READS_S = 0.01  # for one answer
FLOOR = 1e-7  # uncertainty of the ammeter [A]


class Told:
    """Book, keys, screen and clock at once; all that happens is in ``said``, in its order."""

    ended = False

    def __init__(self, **keys_at):
        self.said = []
        self.kept = []  # quantity, value, conditions
        self.starts = []  # moments of soak time nought, one for each leakage reading
        self.now = 0.0
        self.keys_at = {float(at.lstrip("s").replace("_", ".")): key for at, key in keys_at.items()}

    # clock

    def monotonic(self):
        return self.now

    def utc(self):
        return NOON + timedelta(seconds=self.now)

    def sleep(self, seconds):
        self.now += max(seconds, 1e-3)

    # keys

    def poll(self):
        due = [at for at in self.keys_at if at <= self.now]
        return self.keys_at.pop(due[0]) if due else None

    # screen

    def tell(self, label, text):
        self.said.append(f"{label} {text}".strip())

    def line(self, text=""):
        self.said.append(text)

    def status(self, text):
        del text

    def bell(self):
        self.said.append("bell")

    def reading(self, text, points, *, due):
        del points, due
        self.said.append(text)

    # book

    def event(self, kind, text, part=None):
        del part
        self.said.append(f"{kind}: {text}")

    def keep(self, part, answer, conditions):
        del part
        if "soak_s" in conditions:
            self.starts.append(round(answer.monotonic_s - conditions["soak_s"], 6))
        self.kept += [(each.quantity, each.value, conditions) for each in answer.values]
        return Kept(len(self.kept), (len(self.kept),))

    # tests

    @property
    def sitting(self):
        return Sitting(self, self, self, self)

    def having(self, text):
        return [each for each in self.said if text in each]

    def quantities(self):
        return [quantity for quantity, _, _ in self.kept]


class Person(Told):
    """Somebody who types these lines, one after the other; None is the end of the input."""

    def __init__(self, *lines, **keys_at):
        super().__init__(**keys_at)
        self.lines = list(lines)
        self.looked = []

    def line(self, prompt=""):
        if not prompt or prompt.endswith(" "):
            return self.next()
        self.said.append(prompt)
        return None

    def next(self):
        found = self.lines.pop(0) if self.lines else None
        self.ended = found is None
        return found

    def look(self, part, look, raw):
        self.looked.append((part.part, look, raw))


class Shows:
    """A meter that shows what a function of the time says: a number, or a flag without one."""

    def __init__(self, told, name, quantity, of, *, uncertainty=nan):
        self.told, self.name, self.quantity, self.of = told, name, quantity, of
        self.uncertainty = uncertainty

    def read(self):
        self.told.now += READS_S
        shown = self.of(self.told.now)
        flag, number = (shown, nan) if isinstance(shown, str) else ("", shown)
        at_most = LESS_THAN if flag == "below range" else nan
        value = Value(
            self.quantity,
            number,
            nan if isnan(number) else self.uncertainty,
            flag=flag,
            at_most=at_most,
        )
        return Answer((value,), f"{number:.6E}", self.told.utc(), self.told.now)


def soaked(told, plan, *, amps, volts=None, says=lambda *_: "", part=PART, floor=FLOOR):
    """A soak on paper; its summary."""
    across = None if volts is None else Shows(told, "voltmeter", "voltage", volts)
    soak = Soak(
        told.sitting,
        Shows(told, "ammeter", "current", amps, uncertainty=floor),
        part=part,
        plan=plan,
        noise=lambda *_: 1e-8,
        view=told,
        voltmeter=across,
        says=says,
    )
    return soak.run()

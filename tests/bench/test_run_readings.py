"""What meters say in a run, on paper: a stop comes first, the book second, and what slipped."""

from math import isnan, nan

import pytest

from bench.reforming_bench import plan, step
from bench.told import PART, Told
from captriage.bench.emptying import Emptying
from captriage.bench.ending_records import EndingRecords
from captriage.bench.measured import Answer, Value
from captriage.bench.repeats import AS_MANY
from captriage.bench.run_readings import QUICK_S, RunReadings
from captriage.bench.session import Session
from captriage.bench.sitting import Sitting
from captriage.bench.stopping import Stopped

STEP = step(60.0, below_a=1e-4, stop_a=5e-3)
UNSURE_A = 1e-6


class Bench(Told):
    """A supply that gives what it is set to, a curve that says nothing, a screen."""

    controlled = True
    supply_a = (nan, nan)
    unsure_v = 0.1
    progress, works = None, True

    def __init__(self):
        super().__init__()
        self.set_v = self.supply_v = self.most_v = 60.0

    def add(self, time_s, *, supply_v, current_a, part_v):
        del time_s, current_a, part_v
        self.said.append(f"curve {supply_v:g} V")

    def line(self, text=""):
        """A line of the screen; typed by nobody."""
        self.said.append(text)

    def step_from(self, time_s):
        del time_s

    def step(self, limit_a, until_s):
        del limit_a, until_s

    def reading(self, text, points):
        del points
        self.said.append(text)

    def keep(self, part, answer, conditions):
        self.said.append("kept")
        return super().keep(part, answer, conditions)


class Shows:
    """A meter of a quantity; what is put into ``shows`` comes next."""

    takes_s = silent_s = 0.0

    def __init__(self, bench, quantity):
        self.bench, self.quantity, self.shows, self.every_s = bench, quantity, [], 1.0
        self.meter, self.name = self, quantity

    def take(self):
        found, self.shows = self.shows, []
        return [self._answer(each) for each in found]

    def _answer(self, shown):
        flag, number = (shown, nan) if isinstance(shown, str) else ("", shown)
        most = 1e-5 if flag == "below range" else nan
        value = Value(self.quantity, number, UNSURE_A, flag=flag, at_most=most)
        raw = "+9.90000000E+37" if flag else f"{number:.6E}"
        return Answer((value,), raw, self.bench.utc(), self.bench.now)


@pytest.fixture
def bench():
    return Bench()


@pytest.fixture
def held(bench):
    """Readings of a step that has been held for ten seconds."""
    emptying = Emptying(bench.sitting, part=PART, plan=plan(), voltmeter=Shows(bench, "voltage"))
    readings = RunReadings(
        bench.sitting,
        part=PART,
        plan=plan(),
        ammeter=Shows(bench, "current"),
        emptying=emptying,
        curve=bench,
        view=bench,
    )
    readings.begin(1, STEP)
    readings.reached(bench.now)
    bench.now += 10.0
    return readings


def read(readings, bench, amps, volts=None):
    """A reading of each meter."""
    bench.now += 0.2
    readings.ammeter.shows.append(amps)
    if volts is not None:
        readings.emptying.voltmeter.shows.append(volts)
    readings.take(bench)


def test_a_stop_comes_before_anything_is_written_and_its_reading_is_kept_afterwards(held, bench):
    read(held, bench, 6e-3)
    kept = held.taken
    with pytest.raises(Stopped, match="6 mA at 54 V; 5 mA stops the run"):
        read(held, bench, 6e-3)
    assert held.taken == kept
    held.keep_what_stopped()
    held.keep_what_stopped()  # once
    assert held.taken == kept + 1
    assert bench.kept[-2][1] == 6e-3


@pytest.mark.parametrize(
    ("shows", "readings", "said"),
    [
        ("over range", 2, "the ammeter is over range"),
        ("over range negative", 2, "the ammeter is over range"),
        ("bad status", 6, "the ammeter shows no number: nobody knows what flows"),
    ],
)
def test_an_ammeter_that_answers_without_a_number_is_not_gone_on_with(
    held, bench, shows, readings, said
):
    for _ in range(readings - 1):
        read(held, bench, shows)
    with pytest.raises(Stopped, match=said):
        read(held, bench, shows)


def test_a_current_that_has_fallen_below_the_range_of_its_meter_is_no_stuck_meter(held, bench):
    bench.now += 10.0  # nothing is left of its charging
    for number in range(2 * AS_MANY):
        read(held, bench, 3e-5 - 1e-7 * number)
    for _ in range(2 * AS_MANY):
        read(held, bench, "below range")
    for number in range(2 * AS_MANY):
        read(held, bench, 2e-5 - 1e-7 * number)
    for _ in range(AS_MANY):
        read(held, bench, 1.3e-5)
    with pytest.raises(Stopped, match="different ones just before: it is stuck"):
        read(held, bench, 1.3e-5)


def test_while_a_knob_is_turned_nothing_is_told_of_the_curve(held, bench):
    bench.supply_v = nan
    read(held, bench, 2e-4)
    assert not bench.having("curve")
    read(held, bench, 2e-4, volts=40.0)
    assert bench.having("curve nan V")  # the voltage of the part tells it


def test_as_it_is_lowered_nobody_is_asked_to_type(held, bench):
    held.slow_down(600.0)
    assert held.ammeter.every_s > QUICK_S
    held.lowering()
    assert held.ammeter.every_s == QUICK_S
    read(held, bench, 6e-3)
    read(held, bench, -6e-3)  # nothing stops it any more
    assert isnan(held.current_a)


def nought_believed(held, bench):
    """What the end of the run comes to where the voltmeter shows nought from then on."""
    held.end_begins()

    def nought():
        held.emptying.voltmeter.shows.append(0.0)
        bench.now += 0.1
        return ""

    return held.emptying.after(60.0, nought)


def test_a_voltmeter_that_showed_the_part_to_the_end_is_believed(held, bench):
    read(held, bench, 2e-4, volts=59.8)
    assert nought_believed(held, bench) == 0.0


def test_the_nought_of_a_voltmeter_that_has_slipped_in_the_run_proves_nothing(held, bench):
    read(held, bench, 2e-4, volts=59.8)
    read(held, bench, 2e-4, volts=0.1)  # it is on the part no more
    assert isnan(nought_believed(held, bench))
    assert bench.having("voltage never showed more than 0 V where 60 V were put on")
    assert bench.having("COULD NOT CONFIRM that D1 is discharged")


def test_a_voltmeter_that_shows_no_more_than_a_short_leaves_is_believed(held, bench):
    read(held, bench, 2e-4, volts=59.8)
    bench.now += 0.2
    held.ammeter.shows.append(0.0598)
    held.emptying.voltmeter.shows.append(0.2)
    held.take(bench)
    assert nought_believed(held, bench) == 0.0


class Source(Bench):
    """A supply that is there at once; its meters show something in every tick."""

    ticks = 0

    def begin(self):
        """It is on."""

    def tick(self):
        """Each meter shows something."""
        self.ticks += 1
        volts = 59.8 if self.now < 3.0 else 0.1  # then its clip slips
        self.ammeter.shows.append(2e-4)
        self.voltmeter.shows.append(volts)
        self.now += 0.2

    def approach(self, target_v):
        """Raised at once."""
        return self.set_v == target_v

    def off(self, why):
        """Off at once."""
        del why
        return ""

    def hear(self):
        """Nothing was wrong with its wire."""

    def unsure(self):
        """It is off; the voltmeter shows on."""
        self.voltmeter.shows.append(0.1)
        return ""


def session_of(source):
    """A run of one step on paper."""
    source.ammeter, source.voltmeter = Shows(source, "current"), Shows(source, "voltage")
    records = EndingRecords(source, source)
    sitting = Sitting(records, source, source, source)
    emptying = Emptying(sitting, part=PART, plan=plan(), voltmeter=source.voltmeter)
    readings = RunReadings(
        sitting,
        part=PART,
        plan=plan(),
        ammeter=source.ammeter,
        emptying=emptying,
        curve=source,
        view=source,
    )
    return Session(
        sitting,
        records=records,
        part=PART,
        plan=plan(),
        steps=[(1, STEP)],
        source=source,
        readings=readings,
        emptying=emptying,
    )


def test_a_run_that_a_slipped_voltmeter_has_stopped_calls_nothing_discharged():
    source = Source()
    summary = session_of(source).run()
    assert "0.1 V on the part, where 59.8 V is left by the series resistor" in summary.ended
    assert summary.taken == source.ticks  # the reading that stopped it is kept as well
    assert isnan(summary.discharged_v)
    assert source.having("DANGER COULD NOT CONFIRM that D1 is discharged")
    assert not source.having("put a shorting link across it now")


def test_a_fault_of_this_program_comes_after_the_part_was_seen_to():
    source = Source()
    session = session_of(source)
    session.readings.look_for_silence = lambda: 1 / 0
    with pytest.raises(ZeroDivisionError, match="division by zero"):
        session.run()
    assert source.having("off the supply is off: the program was broken off")
    assert source.having("END do not touch D1; discharge it")
    assert source.having("empty D1 reads 0.1 V: put a shorting link across it now")

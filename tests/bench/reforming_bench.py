"""A part that is reformed at the rehearsal bench, and the person who does what is asked."""

from __future__ import annotations

from dataclasses import replace

from bench.at_the_bench import JOB, YEAR, Sitting
from captriage.bench.rehearsal.natures import Nature
from captriage.jobs.reform_run import run_reforming
from captriage.jobs.reform_wanted import RunMeters, Wanted
from captriage.reform.steps import Plan, Resistor, Retest, Step

PART = "C1"
CAPACITANCE = 10e-6
RATED_V = 100.0
OHMS = 1e3  # of the simulated jig
LIMIT_A = 0.3e-3
SETTINGS_V = (30.0, 60.0, 100.0)
PARTS = [{"part": PART, "capacitance_rated": CAPACITANCE, "voltage_rated": RATED_V, "made": 1968.0}]


def nature(**changes):
    """A part that leaks a little, and heals while one looks on."""
    return Nature(
        **{
            "part": PART,
            "kind": "leaky",
            "capacitance_rated": CAPACITANCE,
            "voltage_rated": RATED_V,
            "capacitance": 1.1 * CAPACITANCE,
            "resistance": 2.0,
            "absorption_share": 0.02,
            "leakage_residual": 40e-6,
            "leakage_flaws": 600e-6,
            "flawed_area": 3e-6,
            **changes,
        }
    )


def step(supply_v, **changes):
    """A step of seconds, where a true one takes half an hour."""
    return Step(
        **{
            "supply_v": supply_v,
            "series_ohm": OHMS,
            "below_a": LIMIT_A * (supply_v / RATED_V) ** 1.943,
            "least_s": 0.5,
            "most_s": 12.0,
            "stop_a": 5e-3,
            "stop_w": 0.5,
            "charging_s": 0.05,
            "healing_s": (1.0, 10.0),
            "energy_j": 0.5 * CAPACITANCE * supply_v**2,
            **changes,
        }
    )


def plan(settings_v=SETTINGS_V, *, change=None, **changes):
    """A plan of seconds; ``change`` is of every step."""
    steps = tuple(step(volts, **(change or {})) for volts in settings_v)
    return Plan(
        **{
            "part": PART,
            "capacitance_rated": CAPACITANCE,
            "voltage_rated": RATED_V,
            "target_v": settings_v[-1],
            "procedure": "for a test",
            "source": "ours",
            "departures": (),
            "steps": steps,
            "series": Resistor(OHMS, 2, 10.0, 200.0),
            "discharge": Resistor(1e3, 1, 10.0, 200.0),
            "short_a": max(each.supply_v / each.series_ohm for each in steps),
            "supply_limit_a": 0.02,
            "protection_v": 1.05 * settings_v[-1],
            "ramp_v_per_s": 40.0,
            "key_press_s": 60.0,
            "to_60_s": 0.01,
            "to_1_s": 0.1,
            "recovery_v": (10.0, 15.0),
            "retest": Retest(1.0, settings_v[-1], 2.0, LIMIT_A, "ours"),
            "cautions": ("Charged capacitors kill.",),
            **changes,
        }
    )


class ReformSitting(Sitting):
    """The bench with one part in the jig; the person answers what is asked before the run."""

    def __init__(self, folder, *, part=None, parts=PARTS, answers=True, **bench):
        super().__init__(folder, parts, drawer=[part or nature()], **bench)
        self.on_any = {}
        if answers:
            self.answers()

    def __enter__(self):
        super().__enter__()
        self.do(f"jig {PART}")
        return self

    def answers(self):
        """All is well before the run, and the part is discharged after it."""
        self.on("this can kill", "key this can kill")
        self.on("look at C1", "key sound")
        self.on("plus to plus", *["key plus to plus"] * 3)
        self.on("press Enter, and the voltage comes", *["key "] * 3)
        self.on("END    do not touch", *[f"discharge {PART}"] * 3)

    def run(
        self,
        the_plan=None,
        *,
        by_hand=False,
        voltmeter="query",
        meter=None,
        thermometer=None,
        **more,
    ):
        """Carry a plan out."""
        wanted = {"plan": plan() if the_plan is None else the_plan, "every_s": 0.25}
        wanted |= {name: more.pop(name) for name in ("resume", "retest", "every_s") if name in more}
        if (wanted.get("resume") or wanted.get("retest")) and the_plan is None:
            del wanted["plan"]
        return run_reforming(
            self.book,
            JOB,
            PART,
            keys=self.keys,
            show=self.shown,
            meters=RunMeters(
                ammeter=meter or self.meter("ammeter"),
                supply=None if by_hand else self.meter("supply"),
                voltmeter=self.meter(voltmeter) if voltmeter else None,
                thermometer=thermometer,
            ),
            wanted=Wanted(**wanted),
            today_year=YEAR,
            **more,
        )


def with_ohms(the_plan, number, ohm):
    """The plan with another series resistor at one step."""
    steps = list(the_plan.steps)
    steps[number - 1] = replace(steps[number - 1], series_ohm=ohm)
    return replace(
        the_plan,
        steps=tuple(steps),
        series_last=Resistor(ohm, 2, 10.0, 200.0),
        short_a=max(each.supply_v / each.series_ohm for each in steps),
    )


def quick_plan(settings_v=(40.0, 80.0), **changes):
    """A plan that a sound part goes through in a few seconds."""
    change = {"below_a": 2e-3, "least_s": 0.3, "most_s": 8.0, **changes.pop("change", {})}
    return plan(settings_v, change=change, **changes)


def sound(**changes):
    """A part that leaks next to nothing."""
    return nature(leakage_flaws=60e-6, **changes)


def supply_is_on(sitting):
    """Whether the output is on, asked of the simulated supply itself."""
    return sitting.bench.ports["supply"].instrument.answer("OUTP?") == "1"

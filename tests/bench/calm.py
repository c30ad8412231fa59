"""A moment of a run at which all is well, to be changed by a test."""

from math import nan

from bench.reforming_bench import plan, step
from captriage.bench.moments import Moment
from captriage.reform.curves import Progress

UNSURE_A = 1e-6
STEP = step(60.0, charging_s=4.0, below_a=1e-4, stop_a=5e-3, stop_w=0.2, most_s=100.0)
CALM = Moment(
    plan=plan(),
    step=STEP,
    first=True,
    held_s=10.0,
    charged=True,
    set_v=60.0,
    most_v=60.0,
    supply_v=60.1,
    part_v=59.9,
    part_unsure_v=0.1,
    part_late_s=0.1,
    current_a=2e-4,
    unsure_v=0.5,
    unsure_a=UNSURE_A,
    supply_a=3e-4,
    supply_unsure_a=5e-4,
    before_a=2.1e-4,
    lowest_a=1.9e-4,
    warmer_k=1.0,
    charge_c=1.05 * 10e-6 * 60.0,
    charging_s=6.0,
)


def progress(state, sure=1.0):
    return Progress(state, "", sure, "it is so", 1e-4, nan, nan, nan, ())

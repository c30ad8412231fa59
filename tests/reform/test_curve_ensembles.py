"""Two thousand simulated runs: are states right, forecasts honest, and is nothing bad called good?

No open data set of reforming curves exists. What is assumed in its place stands at the head of
``simulated_runs.py``; that physics is stepped there by itself, and knows nothing of the law that is
fitted. The seed was used for nothing else.
"""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from captriage.reform.curves import FALLING
from captriage.reform.progress import AT_TARGET, read_curves
from reform.seen_runs import Course, seen
from reform.simulated_runs import BREAKS_DOWN, FATES, HEALS, PLATEAU, draw, simulate

PARTS, SEED = 2000, 20261128
SEEN_FOR_STATE, SEEN_FOR_FORECAST = 0.40, 0.30
SHORTEST_S = 300.0  # healing runs that are over sooner need no forecast

pytestmark = [pytest.mark.ensemble, pytest.mark.timeout(1200)]


@pytest.fixture(scope="module")
def runs():
    return simulate(draw(PARTS, SEED), SEED + 1)


@pytest.fixture(scope="module")
def states(runs):
    """Of each run, once 40 % has been seen: what is right, and what is said."""
    ends = [SEEN_FOR_STATE * np.nanmax(runs.time_s[row]) for row in range(PARTS)]
    told = read_curves([seen(runs, row, ends[row], SEED + 2) for row in range(PARTS)])
    right = [Course(runs, row).right_states(ends[row]) for row in range(PARTS)]
    return right, told


def test_states_are_right_once_forty_per_cent_was_seen(runs, states, record_property):
    right, told = states
    fates = runs.parts.fate
    good = np.array([one.state in which for one, which in zip(told, right, strict=True)])
    several = np.array([len(which) > 1 for which in right])
    lines = [f"{'fate':12} runs  right  of these between two states"]
    for fate in FATES:
        of = fates == fate
        lines.append(f"{fate:12} {of.sum():4}  {good[of].mean():5.1%}  {several[of].sum()}")
    wrong = Counter(
        (str(fates[row]), "/".join(sorted(right[row])), told[row].state)
        for row in np.flatnonzero(~good)
    )
    lines += [f"wrong {count:3}: {' | '.join(which)}" for which, count in wrong.most_common()]
    lines.append(f"all: {good.mean():.1%} of {PARTS} (bar 97 %)")
    record_property("table", "\n".join(lines))
    assert good.mean() >= 0.97


def test_nothing_bad_is_said_to_heal(runs, states, record_property):
    _, told = states
    bad = np.isin(runs.parts.fate, (PLATEAU, BREAKS_DOWN))
    # "Will heal": at the target, the current is said to reach its limit with 95 % probability.
    heals = np.array(
        [
            one.state == FALLING
            and np.isfinite(one.forecast_high_s)
            and one.steps[-1].supply_v >= AT_TARGET * rated
            for one, rated in zip(told, runs.parts.rated_v, strict=True)
        ]
    )
    share = heals[bad].mean()
    record_property(
        "table",
        f"said to heal: {heals[bad].sum()} of {bad.sum()} that break down or stay above the limit "
        f"({share:.2%}, bar 1 %)",
    )
    assert share <= 0.01


def test_forecast_from_the_first_thirty_per_cent_is_near_and_honest(runs, record_property):
    due, pairs = [], []
    for row in np.flatnonzero(runs.parts.fate == HEALS):
        reached = Course(runs, row).reaches_limit()
        if reached is None or reached[1] - reached[0] < SHORTEST_S:
            continue
        begins, ends = reached
        until = begins + SEEN_FOR_FORECAST * (ends - begins)
        over = begins + 1.1 * (ends - begins)
        pairs.append(seen(runs, row, until, SEED + 3, ends_s=over))
        due.append((begins, ends))
    told = read_curves(pairs)
    begins, ends = np.array(due).T
    low, middle, high = np.array(
        [(one.forecast_low_s, one.forecast_s, one.forecast_high_s) for one in told]
    ).T
    error = np.abs((middle - begins) / (ends - begins) - 1)
    error = np.where(np.isfinite(error), error, np.inf)
    holds = ((low <= ends) & (ends <= high)).mean()
    record_property(
        "table",
        f"{len(due)} healing runs, from their first 30 %: median error of the forecast "
        f"{np.median(error):.1%} (bar 20 %), nine in ten within {np.quantile(error, 0.9):.0%}; "
        f"the 90 % interval holds {holds:.1%} (bar 85 to 95 %)",
    )
    assert len(due) >= 200
    assert np.median(error) <= 0.20
    assert 0.85 <= holds <= 0.95

"""A series resistor is written as people write one."""

import pytest

from captriage.bench.soak_plan import SoakSummary

CALLED = ("log", "soak", "D1", "--job", "x", "--voltage", "9", "--series-resistor")


@pytest.mark.parametrize("written", ["nan", "inf", "-1", "10 V", "many", "1e12", ""])
def test_what_is_no_resistance_is_refused(captriage, written):
    answer = captriage(*CALLED, written)
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.startswith("captriage: Invalid value for '--series-resistor'")
    assert 'write a resistance, such as "10k", or 0 for none' in answer.err


@pytest.mark.parametrize(
    ("written", "ohm"), [("10k", 10e3), ("4k7", 4700.0), ("220 Ω", 220.0), ("0", 0.0)]
)
def test_a_resistance_is_taken(captriage, monkeypatch, written, ohm):
    plans = []

    def soaked(*_, plan, **__):
        plans.append(plan)
        return SoakSummary()

    monkeypatch.setattr("captriage.jobs.logging.log_soak", soaked)
    assert captriage(*CALLED, written, "--meter", "keyboard").status == 0
    assert [plan.series_ohm for plan in plans] == [ohm]

"""Each rule by cases of a made-up drawer: what decides, and which way."""

from __future__ import annotations

import pytest
from drawer import SOUND, judged, verdict

from captriage.judging.rules import RULES
from captriage.judging.verdicts import DECIDERS


def sound(**changes):
    """The sound part with changes; None takes an entry away."""
    return {key: value for key, value in (SOUND | changes).items() if value is not None}


def leakage(value, voltage_v=450.0, soak_s=300.0):
    return {"value": value, "voltage_v": voltage_v, "soak_s": soak_s}


IDLE = {"idle_years": 30.0}
UNREAD = {"leakage_current": None}
HIGH_ESR = {"esr": {"value": 60.0, "frequency_hz": 120.0}}
RISING = [
    ("leakage_current", leakage(i, soak_s=60.0 * t)) for t, i in enumerate((150, 100, 180), 6)
]

CASES = [
    # what is changed of a sound part; the verdict; the rule that decides
    ({}, "keep", "readings_within_limits"),
    *(
        ({"look": look}, "replace", "case_undamaged")
        for look in ("bulged", "vented", "leaked", "scorched", "split", "burst")
    ),
    ({"look": "warm"}, "replace", "cool_and_quiet"),
    ({"look": "noisy"}, "replace", "cool_and_quiet"),
    ({"look": "reversed"}, "replace", "polarity_right"),
    ({"look": "reversed", "polarity": "bipolar"}, "keep", "readings_within_limits"),
    ({"look": "polarity unclear"}, "not judged", "polarity_clear"),
    ({"look": "polarity unclear", **IDLE, **UNREAD}, "not judged", "polarity_clear"),
    ({"look": "broken terminal"}, "replace", "outside_in_order"),
    ({"look": "dented"}, "keep", "readings_within_limits"),
    ({"look": "residue"}, "keep", "readings_within_limits"),
    ({"capacitance": {"flag": "short"}}, "replace", "not_shorted"),
    ({"resistance": 2.0}, "replace", "not_shorted"),
    ({"resistance": 2.0, "in_circuit": "yes"}, "not judged", "not_shorted"),
    ({"resistance": 2e6}, "keep", "readings_within_limits"),
    ({"voltage_working": 480.0}, "replace", "voltage_within_rating"),
    ({"voltage_working": 450.0}, "keep", "readings_within_limits"),
    ({"reform_outcome": "settled above limit"}, "replace", "reform_settled"),
    ({"reform_outcome": "rising"}, "replace", "reform_settled"),
    ({"reform_outcome": "broken down"}, "replace", "reform_settled"),
    ({"reform_outcome": "settled below limit", **UNREAD, **IDLE}, "keep", "readings_within_limits"),
    (
        {"reform_outcome": "settled below limit", "leakage_current": leakage(5000), **IDLE},
        "replace",
        "leakage_within_limit",
    ),
    ({"more": RISING}, "replace", "leakage_not_rising"),
    ({"capacitance": 0.9}, "replace", "not_open"),
    ({"capacitance": 47e-6}, "replace", "not_open"),  # picofarads where microfarads should be
    ({"capacitance": {"flag": "open"}}, "replace", "not_open"),
    ({"capacitance": 20, **HIGH_ESR}, "replace", "not_dried_out"),
    ({"capacitance": 20, **HIGH_ESR, **IDLE, **UNREAD}, "replace", "not_dried_out"),
    ({"more": [("capacitance", 12)]}, "not judged", "readings_agree"),
    ({"tan_delta": {"value": 0.9, "frequency_hz": 120.0}}, "not judged", "readings_agree"),
    (
        {"capacitance": 35, "more": [("capacitance", {"flag": "open"})]},
        "not judged",
        "readings_agree",
    ),
    ({"leakage_current": leakage(5000), **IDLE}, "reform", "leakage_within_limit"),
    ({"leakage_current": leakage(5000), "idle_years": None}, "reform", "leakage_within_limit"),
    ({"leakage_current": leakage(5000)}, "replace", "leakage_within_limit"),
    (
        {"leakage_current": {"at_least": 20000, "voltage_v": 450.0}, **IDLE},
        "reform",
        "leakage_within_limit",
    ),
    (
        {"leakage_current": {"at_most": 50, "voltage_v": 450.0, "soak_s": 300.0}, **IDLE},
        "keep",
        "readings_within_limits",
    ),
    ({"leakage_current": leakage(5000, soak_s=20.0)}, "not judged", "leakage_within_limit"),
    (
        {"leakage_current": leakage(5000, soak_s=20.0), **IDLE},
        "reform",
        "leakage_proven_after_idling",
    ),
    ({"leakage_current": leakage(-40)}, "not judged", "leakage_within_limit"),
    (HIGH_ESR, "replace", "loss_within_limit"),
    ({**HIGH_ESR, **IDLE, **UNREAD}, "replace", "loss_within_limit"),
    ({"esr": {"value": 17.0, "frequency_hz": 120.0}}, "not judged", "loss_within_limit"),
    ({"capacitance": 22, **IDLE}, "reform", "capacitance_not_low"),
    ({"capacitance": 25.5}, "keep", "readings_within_limits"),  # worn, in use, proven else
    ({"capacitance": 20}, "replace", "capacitance_not_low"),
    ({"capacitance": 60, **IDLE, **UNREAD}, "reform", "capacitance_not_high"),
    ({"capacitance": 60, **UNREAD}, "not judged", "capacitance_not_high"),
    ({"capacitance": 60}, "keep", "readings_within_limits"),
    ({"capacitance": 60, **IDLE}, "keep", "readings_within_limits"),
    (
        {"capacitance": 60, "leakage_current": leakage(5000), **IDLE},
        "reform",
        "leakage_within_limit",
    ),
    ({"capacitance": 45, **UNREAD}, "keep", "readings_within_limits"),  # inside -10/+50 % of 1959
    ({**UNREAD, **IDLE}, "reform", "leakage_proven_after_idling"),
    ({**UNREAD, "idle_years": None}, "reform", "leakage_proven_after_idling"),
    (
        {"leakage_current": leakage(90, voltage_v=50.0), **IDLE},
        "reform",
        "leakage_proven_after_idling",
    ),
    (
        {"capacitance": {"flag": "over range"}, "esr": None, **UNREAD},
        "not judged",
        "nothing_usable",
    ),
    (
        {"capacitance": None, "esr": None, **UNREAD, **IDLE, "look": "sound"},
        "not judged",
        "nothing_usable",
    ),
    ({"capacitance": None, "esr": None}, "not judged", "readings_within_limits"),
]


@pytest.mark.parametrize(("changes", "fate", "rule"), CASES)
def test_the_drawer_meets_each_rule(changes, fate, rule):
    found = verdict(sound(**changes))
    assert (found["verdict"], found["decided_by"]) == (fate, rule), found["because"]


def test_every_rule_that_can_decide_is_met_by_a_case():
    met = {rule for _, _, rule in CASES}
    never_advise = {"meter_in_range", "life_left", "seal_free_of_residue"}
    assert {rule.name for rule in RULES} - met == never_advise


def test_each_rule_states_what_is_true_of_a_good_part_with_a_source():
    for rule in RULES:
        assert rule.sentence.endswith("."), rule.name
        assert rule.source, rule.name
        assert rule.wordings, rule.name
    assert len({rule.name for rule in RULES}) == len(RULES) < len(DECIDERS)


@pytest.mark.parametrize(
    ("range_high", "fate"),
    [
        pytest.param(20, "keep", id="the range ends below the rating: no evidence"),
        pytest.param(2000, "not judged", id="the range covers the rating: leaky or shorted"),
    ],
)
def test_over_range_counts_only_where_the_meter_could_have_read_the_part(range_high, fate):
    over = {"flag": "over range", "range_high": range_high}
    assert verdict(sound(capacitance=over, leakage_current=None))["verdict"] == fate


@pytest.mark.parametrize("frequency_hz", [10e3, 100e3])
def test_capacitance_at_high_frequency_is_not_held_against_the_rating(frequency_hz):
    part = sound(capacitance={"value": 1.2, "frequency_hz": frequency_hz})
    found = judged(part)
    assert found.verdicts["verdict"].iat[0] == "keep"
    outcomes = found.findings.loc[found.findings["rule"] == "capacitance_not_low", "outcome"]
    assert list(outcomes) == ["not judged"]


@pytest.mark.parametrize(
    ("esr", "outcome"),
    [
        # 47 µF 450 V: new limit tan δ 0.20 at 120 Hz, twice that allowed: 11.3 Ω at 120 Hz,
        # 13.5 Ω at 100 Hz and 10.9 Ω at 100 kHz, by ESR = tan δ / (2π f C) and oxide loss 0.015
        (5.0, "pass"),
        (12.0, "not judged"),
        (30.0, "fail"),
    ],
)
def test_esr_without_a_frequency_is_judged_where_every_plausible_one_agrees(esr, outcome):
    found = judged({"capacitance_rated": 47, "voltage_rated": 450.0, "esr": esr})
    findings = found.findings
    assert list(findings.loc[findings["rule"] == "loss_within_limit", "outcome"]) == [outcome]


@pytest.mark.parametrize(
    ("changes", "fate"),
    [
        ({"capacitance": 40}, "keep"),
        ({"capacitance": 20}, "replace"),  # parallel paths only add: low stays low
        ({"capacitance": 90}, "keep"),
        ({"esr": {"value": 60.0, "frequency_hz": 120.0}}, "replace"),  # they only lower ESR
        ({"leakage_current": leakage(5000)}, "not judged"),
    ],
)
def test_in_circuit_only_what_parallel_paths_cannot_cause_counts(changes, fate):
    good = verdict(sound(in_circuit="yes", leakage_current=leakage(100)) | {"capacitance": 40})
    assert good["verdict"] == "not judged"  # nothing read in circuit proves C or ESR
    found = verdict(sound(in_circuit="yes", leakage_current=leakage(100)) | changes)
    assert found["verdict"] == (fate if fate == "replace" else "not judged")


def test_temperature_outside_the_band_leaves_a_reading_unjudged():
    cold = {"value": 60.0, "frequency_hz": 120.0, "temperature_degc": 2.0}
    found = judged(sound(esr=cold)).findings
    assert list(found.loc[found["rule"] == "loss_within_limit", "outcome"]) == ["not judged"]

from __future__ import annotations

import numpy as np
import pytest
from drawer import SOUND, judged, sheets, verdict
from hypothesis import given, settings
from hypothesis import strategies as st

from captriage.columns import FINDINGS, VERDICT_WORDS, VERDICTS
from captriage.judging.policy import load_policy
from captriage.judging.verdicts import judge_parts

SMALL = {"capacitance_rated": 10, "voltage_rated": 25.0, "idle_years": 30.0, "capacitance": 10}


def section(name, can="K1", **changes):
    part = {**SOUND, "part": f"{can} {name}", "can": can, "section": name, "idle_years": 0.1}
    return part | changes


def test_the_frames_are_those_of_the_vocabulary():
    found = judged(SOUND, SOUND | {"look": "bulged"})
    assert list(found.verdicts) == list(VERDICTS)
    assert list(found.findings) == list(FINDINGS)
    assert list(found.verdicts["part"]) == ["C1", "C2"]


def test_no_part_gives_no_verdict():
    assert judge_parts(
        sheets(), policy=load_policy("ordinary-service"), today_year=2026
    ).verdicts.empty


def test_a_small_cheap_single_part_is_not_worth_reforming_but_an_original_is():
    assert verdict(SMALL)["verdict"] == "replace"
    assert verdict(SMALL)["decided_by"] == "reforming_worth_bench_time"
    assert "bench time" in verdict(SMALL)["because"]
    assert verdict(SMALL, "conserve-originals")["verdict"] == "reform"


@pytest.mark.parametrize(
    "dear",
    [{"voltage_rated": 450.0}, {"capacitance_rated": 4700, "capacitance": 4700}, {"can": "K1"}],
)
def test_a_dear_part_is_worth_reforming(dear):
    assert verdict(SMALL | dear)["verdict"] == "reform"


def test_renewing_on_doubt_reforms_nothing():
    part = {k: v for k, v in SOUND.items() if k != "leakage_current"} | {"idle_years": 30.0}
    found = verdict(part, "renew-on-doubt")
    assert (found["verdict"], found["decided_by"]) == ("replace", "doubt_allowed_by_policy")
    assert verdict(part)["verdict"] == "reform"


def test_the_strict_policy_holds_a_vintage_part_to_the_modern_criterion():
    # 32 µF 450 V: vintage 0.04 · 32 + 0.3 = 1.58 mA; modern 0.02 · 14400 + 25 = 313 µA
    part = SOUND | {"leakage_current": {"value": 900, "voltage_v": 450.0, "soak_s": 300.0}}
    assert verdict(part)["verdict"] == "keep"
    assert verdict(part, "renew-on-doubt")["verdict"] == "replace"


def test_one_bad_section_condemns_the_can_unless_it_can_be_left_unused():
    found = judged(section("a"), section("b", capacitance=1)).verdicts
    assert list(found["verdict"]) == ["keep", "replace"]
    because = found["because"].iat[0]
    assert "section b of this can must be replaced" in because
    assert "unless it can be left unused" in because
    assert "unless" not in found["because"].iat[1]


def test_two_bad_sections_are_both_named():
    found = judged(section("a"), section("b", capacitance=1), section("c", capacitance=1)).verdicts
    assert "sections b, c of this can" in found["because"].iat[0]


def test_damage_seen_on_one_section_is_that_of_the_whole_can():
    found = judged(section("a", look="bulged"), section("b"), section("a", can="K2")).verdicts
    assert list(found["verdict"]) == ["replace", "replace", "keep"]
    assert list(found["energise"]) == ["never", "never", "with care"]


def test_a_short_in_one_section_keeps_voltage_off_that_section():
    found = judged(section("a"), section("b", resistance=1.0)).verdicts
    assert list(found["energise"]) == ["with care", "never"]
    assert found["next"].iat[0].startswith("Replace the can, or leave the bad section disconnected")


@pytest.mark.parametrize("look", ["bulged", "vented", "leaked", "scorched", "split", "burst"])
@pytest.mark.parametrize("policy", ["ordinary-service", "conserve-originals", "renew-on-doubt"])
def test_damage_by_eye_outweighs_every_reading_under_every_policy(look, policy):
    found = verdict(SOUND | {"look": look}, policy)
    assert (found["verdict"], found["energise"]) == ("replace", "never")


def test_old_residue_with_good_readings_is_said_to_be_a_judgement():
    found = verdict(SOUND | {"look": "residue"})
    assert "your judgement" in found["next"]
    assert found["confidence"] < verdict(SOUND)["confidence"]
    assert verdict(SOUND | {"look": "residue"}, "renew-on-doubt")["verdict"] == "replace"


def test_a_part_of_which_nothing_is_usable_is_not_judged_and_never_kept():
    bare = {"capacitance_rated": 32, "voltage_rated": 450.0}
    for part in (bare, bare | {"look": "sound"}, bare | {"capacitance": {"flag": "no reading"}}):
        found = verdict(part)
        assert (found["verdict"], found["confidence"]) == ("not judged", 0.0)
        assert found["next"].startswith("Read capacitance")


def test_what_had_to_be_assumed_is_said():
    part = {
        "capacitance_rated": 32,
        "voltage_rated": 450.0,
        "capacitance": 35,
        "leakage_current": 9000,
    }
    assumed = verdict(part)["assumed"]
    for words in (
        "tolerance not given",
        "frequency",
        "date of making",
        "voltage of the leakage",
        "soak time",
        "without voltage",
    ):
        assert words in assumed, words
    told = {
        "tolerance_low": -0.1,
        "tolerance_high": 0.5,
        "capacitance": {"value": 35, "frequency_hz": 120.0},
    }
    assert verdict(SOUND | told)["assumed"] == ""


def test_leakage_at_a_voltage_that_is_not_told_proves_nothing_good():
    told = verdict(SOUND)
    assert told["verdict"] == "keep"
    untold = verdict(SOUND | {"leakage_current": 9, "idle_years": 22.0})
    assert untold["verdict"] == "reform"
    assert "voltage of the leakage reading not told: it proves nothing good" in untold["assumed"]


def test_an_assumed_condition_lowers_the_confidence():
    told = SOUND | {"capacitance": {"value": 38, "frequency_hz": 120.0}}
    assert verdict(SOUND | {"capacitance": 38})["confidence"] < verdict(told)["confidence"]


def test_a_reservoir_is_not_to_be_replaced_by_more_capacitance():
    bulged = SOUND | {"look": "bulged"}
    assert "32 µF to 48 µF (today 33 µF), at least 450 V" in verdict(bulged)["next"]
    assert "no more" in verdict(bulged | {"role": "reservoir"})["next"]


def test_the_new_part_stands_the_working_voltage():
    # 1.1 times 410 V is 451 V: the next rated voltage made is 500 V
    assert "at least 500 V" in verdict(SOUND | {"voltage_working": 410.0, "look": "burst"})["next"]


def test_a_bipolar_part_is_replaced_by_a_bipolar_one():
    found = verdict(SOUND | {"look": "burst", "polarity": "bipolar"})
    assert found["next"].endswith("bipolar.")


def test_missing_leakage_weighs_more_in_a_coupling_place():
    part = {k: v for k, v in SOUND.items() if k != "leakage_current"}
    coupling = verdict(part | {"role": "coupling"})
    assert coupling["confidence"] < verdict(part)["confidence"]
    assert "leakage" in coupling["next"]


def test_the_limit_asked_for_next_is_moved_to_the_working_voltage():
    # vintage limit 1.58 mA at 450 V, moved to 315 V (0.7 of rated) by the factor 0.5 of the source
    part = {k: v for k, v in SOUND.items() if k != "leakage_current"}
    found = verdict(part | {"idle_years": 30.0, "voltage_working": 315.0})
    assert "leakage at 315 V after 5 min (limit 790 µA)" in found["next"]


READING = st.one_of(st.none(), st.floats(1e-6, 1e6))
PART = st.fixed_dictionaries(
    {
        "capacitance_rated": st.one_of(st.just(np.nan), st.floats(1e-3, 1e5)),
        "voltage_rated": st.one_of(st.just(np.nan), st.floats(1.0, 700.0)),
        "made": st.one_of(st.just(np.nan), st.integers(1930, 2026).map(float)),
        "idle_years": st.one_of(st.just(np.nan), st.floats(0, 80)),
        "voltage_working": st.one_of(st.just(np.nan), st.floats(0.1, 700.0)),
        "in_circuit": st.sampled_from(["", "yes", "no"]),
        "can": st.sampled_from(["", "K1", "K2"]),
        "capacitance": READING,
        "esr": READING,
        "tan_delta": READING,
        "leakage_current": READING,
        "resistance": READING,
        "look": st.sampled_from([(), "bulged", "residue", "sound", "reversed"]),
        "reform_outcome": st.sampled_from(["", "settled below limit", "rising"]),
    }
).map(lambda part: {key: value for key, value in part.items() if value is not None})


@settings(max_examples=60, deadline=None)
@given(st.lists(PART, min_size=1, max_size=6))
def test_whatever_is_read_each_part_gets_one_verdict_with_a_reason(parts):
    found = judged(*parts).verdicts
    assert len(found) == len(parts)
    assert found["verdict"].isin(VERDICT_WORDS).all()
    assert found["confidence"].between(0, 1).all()
    assert (found["because"] != "").all()
    assert (found["next"] != "").all()
    assert not found["because"].str.contains("{", regex=False).any()
    for part, row in zip(parts, found.itertuples(), strict=True):
        if part["look"] == "bulged":
            assert (row.verdict, row.energise) == ("replace", "never")
        if not {"capacitance", "esr", "tan_delta"} & part.keys():
            assert row.verdict != "keep"


@settings(max_examples=30, deadline=None)
@given(st.lists(PART.map(lambda part: part | {"can": ""}), min_size=2, max_size=6))
def test_a_plain_part_is_judged_alike_alone_and_among_others(parts):
    together = judged(*parts).verdicts
    for at, part in enumerate(parts):
        alone = verdict(part)
        for column in ("verdict", "decided_by", "confidence", "because", "next", "assumed"):
            assert together[column].iat[at] == alone[column]

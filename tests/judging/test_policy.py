from __future__ import annotations

import re

import pytest

from captriage.errors import PolicyError
from captriage.judging.policy import POLICIES, load_policy, parse_policy, policy_text

ORDINARY = policy_text("ordinary-service")


@pytest.mark.parametrize("name", POLICIES)
def test_a_built_in_policy_loads_under_its_own_name(name):
    policy = load_policy(name)
    assert policy.name == name
    assert policy.conformity.fail < policy.conformity.even < policy.conformity.passed


def test_a_copied_and_changed_policy_is_read_from_its_file(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(ORDINARY.replace("times_new = 2.0", "times_new = 2.5"), "utf-8")
    assert load_policy(path).loss.times_new == 2.5


@pytest.mark.parametrize("name", POLICIES)
def test_every_number_of_a_built_in_policy_is_explained_on_its_line_or_in_its_heading(name):
    heading_explains = False
    for line in policy_text(name).splitlines():
        if line.startswith("["):
            heading_explains = "#" in line
        elif re.match(r"\w+ = [-\d.]", line) and not line.startswith("schema"):
            assert "#" in line or heading_explains, line


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (("schema = 1", "schema = 2"), "schema is missing or not 1"),
        (("[short]", "[shirt]"), "shirt is unknown; short is probably meant; it holds name, title"),
        (("resistance_below = 10.0", ""), r"\[short\] resistance_below is missing; take it from"),
        (("resistance_below = 10.0", 'resistance_below = "ten"'), "a number is wanted"),
        (("resistance_below = 10.0", "resistance_below = nan"), "a number is wanted"),
        (("resistance_below = 10.0", "resistance_below = true"), "a number is wanted"),
        (("resistance_below = 10.0", "resistance_below = -1.0"), "0 or more is allowed"),
        (
            ("resistance_below = 10.0", "resistance_under = 10.0"),
            r"\[short\] resistance_under is unknown; resistance_below is probably meant; it holds "
            r"resistance_below$",
        ),
        (
            ("proof_fraction = 0.9 ", "prof_fraction = 0.9 "),
            r"\[leakage\] prof_fraction is unknown; proof_fraction is probably meant; it holds "
            r"vintage, modern, vintage_before, proof_fraction, diagnostic_fraction, ",
        ),
        (
            ("fail = 0.025 ", "fail = 0.025\nbanana = 1 "),
            r"banana is unknown; it holds pass, even, ",
        ),
        (("pass = 0.975", "pass = 97.5"), "0 to 1 is allowed"),
        (("pass = 0.975", "passed = 0.975"), r"passed is unknown; pass is probably meant"),
        (
            ("proof_fraction = 0.9", "proof_fraction = 90"),
            "proof_fraction is 90; 0 to 1 is allowed",
        ),
        (("diagnostic_fraction = 0.5", "diagnostic_fraction = 1.01"), "0 to 1 is allowed"),
        (("rising_share = 0.5", "rising_share = 50"), "leakage.rising_share is 50; 0 to 1"),
        (("open_below = 0.05", "open_below = 5"), "capacitance.open_below is 5; 0 to 1"),
        (("reform_from = 0.5", "reform_from = 50.0"), "capacitance.reform_from is 50.0; 0 to 1"),
        (("worn_below = -0.30", "worn_below = 0.30"), "worn_below is 0.3; -1 to 0 is allowed"),
        (("worn_below = -0.30", "worn_below = -30"), "worn_below is -30; -1 to 0 is allowed"),
        (("esr = 0.10", "esr = 10"), "uncertainty.esr is 10; 0 to 1 is allowed"),
        (("seen = 0.99", "seen = 99"), "confidence.seen is 99; 0 to 1 is allowed"),
        (("esr_times = 1.2", "esr_times = 0.2"), "reform.esr_times is 0.2; 1 or more is allowed"),
        (("capacitance_change = 0.10", "capacitance_change = 10"), "_change is 10; 0 to 1"),
        (("ratio = 1.5", "ratio = 0.5"), "contradiction.ratio is 0.5; 1 or more is allowed"),
        (("rising_factor = 1.2", "rising_factor = 0.2"), "rising_factor is 0.2; 1 or more"),
        (("voltage_margin = 1.1", "voltage_margin = 0.9"), "voltage_margin is 0.9; 1 or more"),
        (("pass = 0.975", "pass = 0.4"), "fail < even < pass is wanted"),
        (('worn = "keep"', 'worn = "perhaps"'), "one of keep, replace is allowed"),
        (('worn = "keep"', "worn = 3"), "text is wanted"),
        (("reform = true", 'reform = "yes"'), "true or false is wanted"),
        (('name = "ordinary-service"', "name = 5"), "text is wanted"),
        (('vintage = "vintage_kc"', 'vintage = "mine"'), "leakage.vintage is 'mine'; one of"),
        (("schema = 1", "schema = = 1"), "not TOML"),
    ],
)
def test_a_faulty_policy_is_refused_in_words(change, message):
    assert change[0] in ORDINARY
    with pytest.raises(PolicyError, match=message):
        parse_policy(ORDINARY.replace(*change, 1), where="mine.toml")


def test_a_table_that_is_a_number_is_refused():
    text = ORDINARY.replace("[short]", "").replace("resistance_below = 10.0", "")
    with pytest.raises(PolicyError, match=r"short is 3; a table \[short\] is wanted"):
        parse_policy("short = 3\n" + text, where="mine.toml")


def test_no_built_in_policy_of_that_name():
    with pytest.raises(PolicyError, match="no built-in policy 'strict'"):
        policy_text("strict")


@pytest.mark.parametrize("what", ["missing.toml", ".", "binary.toml", "a\0b"])
def test_a_policy_file_that_cannot_be_read_is_refused(tmp_path, what):
    (tmp_path / "binary.toml").write_bytes(b"\xff\xfe\x00\x81")
    with pytest.raises(PolicyError, match="cannot be read"):
        load_policy(f"{tmp_path}/{what}")

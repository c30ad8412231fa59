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
        (("[short]", "[shirt]"), "shirt is unknown"),
        (("resistance_below = 10.0", ""), "short.resistance_below is missing"),
        (("resistance_below = 10.0", 'resistance_below = "ten"'), "a number is wanted"),
        (("resistance_below = 10.0", "resistance_below = nan"), "a number is wanted"),
        (("resistance_below = 10.0", "resistance_below = true"), "a number is wanted"),
        (("resistance_below = 10.0", "resistance_below = -1.0"), "0 or more is allowed"),
        (("resistance_below = 10.0", "resistance_under = 10.0"), "is (unknown|missing)"),
        (("pass = 0.975", "pass = 97.5"), "0 to 1 is allowed"),
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

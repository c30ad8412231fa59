import json

import pytest

from captriage.judging.policy import POLICIES, policy_text
from captriage.judging.rules import RULES


def test_rules_prints_every_rule_with_its_sentence_and_source(captriage):
    words = " ".join(captriage("rules").out.split())
    for rule in RULES:
        assert rule.name in words
        assert " ".join(rule.sentence.split()) in words
        assert " ".join(rule.source.split()) in words


def test_rules_in_json_can_be_read_by_a_program(captriage):
    found = json.loads(captriage("rules", "--format", "json").out)
    assert [rule["name"] for rule in found["rules"]] == [rule.name for rule in RULES]
    assert "policy" not in found


@pytest.mark.parametrize("format_", ["table", "json", "markdown"])
def test_rules_shows_the_numbers_of_a_policy_that_is_named(captriage, format_):
    out = captriage("rules", "--policy", "renew-on-doubt", "--format", format_).out
    assert "vintage_before" in out
    assert "0.975" in out
    plain = captriage("rules", "--format", format_).out
    assert "vintage_before" not in plain


def test_the_numbers_are_named_as_in_the_file_of_the_policy(captriage):
    out = captriage("rules", "--policy", "ordinary-service").out
    assert "conformity.pass " in out
    assert "conformity.passed" not in out


def test_policy_lists_what_there_is_or_prints_one_to_copy(captriage):
    listed = captriage("policy").out
    assert [line for line in listed.splitlines() if line[0] != " "] == list(POLICIES)
    assert max(map(len, listed.splitlines())) <= 80
    for name in POLICIES:
        assert captriage("policy", name).out == policy_text(name)


def test_policy_of_an_unknown_name_is_one_line(captriage):
    answer = captriage("policy", "mine")
    assert answer.status == 2
    assert answer.err.startswith("captriage: policy: no built-in policy 'mine'; there are")

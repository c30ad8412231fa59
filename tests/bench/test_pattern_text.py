"""Whatever pattern a profile is let have, no text keeps it busy."""

import re
import time
import warnings

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from captriage.bench.pattern_text import LONGEST_PATTERN, LONGEST_TEXT, matches, why_not

NUMBER = r"[+-]?\d+\.?\d*(?:[eE][+-]?\d+)?"
ALLOWED = [
    ".+",
    r"EXAMPLE,[^,]*,.*,1\.\d+",
    "[-+ 0-9.]+(?:[Ee][-+]?[0-9]+)?|[-+]?[OL.]+|OVER",
    rf"DC (?P<current>{NUMBER}) ?(?P<current_unit>[a-zA-Zµ]*)",
    rf"{NUMBER},{NUMBER}",
    r"[+-]?0+,.*",
    "(?:ab)+c{2}",
    r"[^]a]+\]b",
    r"^\x41+\u00b5*\101\N{MICRO SIGN}?$",
    "a{,3}b{2,}c{4,5}x{",
    "(?:a{3},){4}",
    "",
]
WITHIN = "a repeat or alternatives within a repeat"
WAYS = "share out one text in too many ways"
REFUSED = [
    ("(a+)+$", WITHIN),
    ("(a*)*b", WITHIN),
    ("(?:a|aa)*b", WITHIN),
    ("(?:(?P<current>a?)b?){40}", WITHIN),
    ("((a{1,2}){30}){30}", WITHIN),
    ("(?:[0-9]+,?){9}", WITHIN),
    ("a?" * 30 + "a" * 30, WAYS),
    ("(?:a|a)" * 30, WAYS),
    (r".*.*.*.*x", WAYS),
    (r".*a.*b.*c.*d", WAYS),
    (",".join([NUMBER] * 3), WAYS),
    (r"(a+)\1", r'"\\1" repeats a group'),
    ("(?P<current>a)(?P=current)", r'"\(\?P=": groups are'),
    ("(?=a+)a", r'"\(\?=a": groups are'),
    ("(?<!a)b", r'"\(\?<!": groups are'),
    ("(?i)a", r'"\(\?i\)": groups are'),
    ("a" * (LONGEST_PATTERN + 1), "it has 301 characters; 300 are enough"),
]


@pytest.mark.parametrize("pattern", ALLOWED)
def test_what_a_reply_needs_is_allowed(pattern):
    re.compile(pattern)
    assert why_not(pattern) == ""


@pytest.mark.parametrize(("pattern", "message"), REFUSED)
def test_what_may_take_for_ever_is_refused_in_words(pattern, message):
    re.compile(pattern)
    assert re.search(message, why_not(pattern))


def test_a_text_that_is_too_long_does_not_match():
    assert matches(".+", "a" * LONGEST_TEXT)
    assert not matches(".+", "a" * (LONGEST_TEXT + 1))
    assert not matches("a", "b")


PIECES = st.sampled_from(["a", "b", ".", "[ab]", "[^a]", r"\w", "aa", "(?:ab)", "(?:a|ab)", "(a)"])
REPEATS = st.sampled_from(["", "", "*", "+", "?", "{2}", "{1,9}", "*?"])
ROWS = st.lists(st.tuples(PIECES, REPEATS).map("".join), min_size=1, max_size=12).map("".join)
PATTERNS = st.one_of(
    ROWS,
    st.tuples(ROWS, ROWS).map(lambda rows: f"(?:{rows[0]}|{rows[1]})"),
    st.tuples(ROWS, REPEATS, ROWS).map(lambda each: f"({each[0]}){each[1]}{each[2]}"),
)
HOSTILE = ["a" * 199 + "\n", "ab" * 99 + "\n", "b" * 199 + "\n", "aab" * 66 + "\n"]


@settings(deadline=None)
@given(pattern=PATTERNS)
def test_no_text_keeps_a_pattern_that_is_allowed_busy(pattern):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        re.compile(pattern)
    assume(why_not(pattern) == "")
    for text in HOSTILE:
        began = time.thread_time()
        matches(pattern, text)
        assert time.thread_time() - began < 2.0, (pattern, text)


def test_the_worst_that_is_allowed_is_soon_done():
    pattern = ".*a.*a[ab]?[ab]?[ab]?[ab]?x"
    assert why_not(pattern) == ""
    began = time.thread_time()
    assert not matches(pattern, "a" * LONGEST_TEXT)
    assert time.thread_time() - began < 2.0

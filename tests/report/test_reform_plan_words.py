import pytest

from captriage.report.reform_plan_words import roughly


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0.2, "under 1 s"),
        (18.4, "18 s"),
        (89, "89 s"),
        (160, "2.7 min"),
        (5000, "83 min"),
        (9000, "2.5 h"),
        (86400, "24 h"),
    ],
)
def test_a_time_is_said_to_two_digits(seconds, said):
    assert roughly(seconds) == said

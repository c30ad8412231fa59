"""What is told at the bench, in words and figures."""

import pytest

from captriage.bench.sitting import Kept
from captriage.bench.telling import numbered


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        (["2.7"], "answer 2.7"),
        (["2.9", "2.10", "2.11"], "answers 2.9 to 2.11"),
        (["1.4", "2.5"], "answers 1.4, 2.5"),
        (["1.4", "1.5", "1.7", "2.1", "2.2"], "answers 1.4 to 1.5, 1.7, 2.1 to 2.2"),
    ],
)
def test_answers_are_named_by_the_numbers_they_were_shown_by(answers, said):
    assert numbered([Kept(number, (1, 2)) for number in answers]) == said

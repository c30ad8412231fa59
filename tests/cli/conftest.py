"""A small sheet of our own, and the command run in this process."""

import io
import sys

import pytest

from captriage.cli import run

SHEET = """\
part,rating,made,idle (years),role,C (µF),C frequency (Hz),ESR (Ω),ESR frequency (Hz),leakage (µA),\
test voltage (V),after (min),looks
C1,32 µF 450 V,1959,17,smoothing,12,120,60,120,,,,sound
C2,47 µF 63 V,2001,0,decoupling,46,120,0.9,120,2,63,5,sound
C3,10 µF 25 V,1975,0,decoupling,banana,,,,,,,bulged
"""
GOOD = """\
part,rating,made,idle (years),role,C (µF),C frequency (Hz),ESR (Ω),ESR frequency (Hz),leakage (µA),\
test voltage (V),after (min),looks
C2,47 µF 63 V,2001,0,decoupling,46,120,0.9,120,2,63,5,sound
"""


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "amp.csv"
    path.write_text(SHEET, encoding="utf-8")
    return path


@pytest.fixture
def good_sheet(tmp_path):
    path = tmp_path / "good.csv"
    path.write_text(GOOD, encoding="utf-8")
    return path


class Answer:
    """Exit status and what was written to either stream."""

    def __init__(self, status, out, err):
        self.status, self.out, self.err = status, out, err


@pytest.fixture
def captriage(monkeypatch):
    """Run the command with these arguments."""

    def call(*arguments):
        streams = io.StringIO(), io.StringIO()
        with monkeypatch.context() as patched:
            patched.setattr(sys, "stdout", streams[0])
            patched.setattr(sys, "stderr", streams[1])
            status = run([str(argument) for argument in arguments])
        return Answer(status, streams[0].getvalue(), streams[1].getvalue())

    return call

"""What is shown while the work goes on."""

import io
from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.report.ascii_signs import ascii_only
from captriage.report.live import LeakageView, Screen, leakage_picture
from captriage.report.terminal import text_width


class Tty(io.StringIO):
    def isatty(self):
        return True


@pytest.fixture
def now():
    return [0.0]


@pytest.fixture
def paper():
    return Screen(io.StringIO())


@pytest.fixture
def tty(now):
    return Screen(Tty(), now=lambda: now[0])


def test_a_line_is_written_out_at_once_and_cannot_steer_the_terminal(paper):
    paper.line("taken  D3  \x1b[2J34.6 µF")
    assert paper.out.getvalue() == "taken  D3   [2J34.6 µF\n"


def test_a_long_line_goes_on_below_its_word_at_a_terminal_and_is_one_line_elsewhere(tty, paper):
    text = "taken  " + "電解 " * 30 + " 34.6 µF"
    paper.line(text)
    assert paper.out.getvalue() == f"{text}\n"
    tty.line(text)
    lines = tty.out.getvalue().splitlines()
    assert max(map(text_width, lines)) <= 80
    assert lines[0].startswith("taken  電解")
    assert all(line.startswith("       ") for line in lines[1:])
    assert lines[-1].endswith("34.6 µF")


def test_a_sentence_is_wrapped_behind_its_word(paper):
    paper.tell("fault", "word " * 30)
    lines = paper.out.getvalue().splitlines()
    assert lines[0].startswith("fault  word")
    assert all(line.startswith("       word") for line in lines[1:])
    assert max(map(len, lines)) <= 80


def test_no_bell_and_nothing_that_changes_is_written_to_a_file(paper):
    paper.bell()
    paper.status("settling")
    assert paper.out.getvalue() == ""
    paper.taken(lambda: "taken  answer 1")
    assert paper.out.getvalue() == "taken  answer 1\n"


def test_no_more_lines_are_made_than_can_be_read(now):
    screen = Screen(io.StringIO(), now=lambda: now[0])
    for number in range(1000):
        now[0] = number / 1000
        screen.taken(lambda number=number: f"taken  answer {number}")
    lines = screen.out.getvalue().splitlines()
    assert lines[0] == "taken  answer 0"
    assert 18 <= len(lines) <= 22


def test_at_a_terminal_a_line_changes_and_makes_room_for_one_that_stays(tty, now):
    tty.status("settling")
    now[0] = 0.1
    tty.status("too soon to be read")
    now[0] = 0.3
    tty.taken(lambda: "taken  answer 1")
    tty.line("done")
    tty.bell()
    assert tty.out.getvalue() == "\r\x1b[Ksettling\r\x1b[Ktaken  answer 1\r\x1b[Kdone\n\a"


def test_a_prompt_stands_before_what_is_typed(tty):
    tty.write("note: ")
    assert tty.out.getvalue() == "note: "


def test_a_picture_takes_the_place_of_the_one_before(tty):
    tty.picture(["a", "b"])
    tty.picture(["c"])
    tty.line("mark")
    tty.picture(["d"])
    assert tty.out.getvalue() == "a\nb\n\x1b[2A\x1b[Jc\nmark\nd\n"


CURVE = [(float(t), 4e-3 / t + 2e-4) for t in range(1, 121)]
LIMIT = [(1.0, 0.36), (300.0, 1.2e-3)]


def drawn(**more):
    times, currents = zip(*CURVE, strict=True)
    return leakage_picture(times, currents, until_s=300.0, limit=LIMIT, **more)


def test_a_curve_falls_from_left_to_right_below_the_limit():
    lines = drawn()
    rows = {sign: [n for n, line in enumerate(lines[:-3]) if sign in line] for sign in "*-"}
    assert rows["*"][0] < rows["*"][-1]
    columns = [line.index("*") for line in lines[:-3] if "*" in line]
    assert columns == sorted(columns)
    for column in range(10, 79):
        stack = [line[column] if column < len(line) else " " for line in lines[:-3]]
        if "*" in stack and "-" in stack:
            assert stack.index("-") < stack.index("*")


def test_axes_are_labelled_and_it_fits_eighty_columns():
    lines = drawn()
    text = "\n".join(lines)
    assert max(map(len, lines)) <= 80
    assert {"1 mA |", "10 mA |", "100 mA |"} <= {line[:10].strip() for line in lines}
    assert " ".join(lines[-2].split()) == "1 s 2 s 5 s 10 s 20 s 1 min 2 min 5 min"
    assert ascii_only(text).isascii()


def test_times_stand_under_their_columns():
    lines = leakage_picture([60.0], [1e-4], until_s=300.0)
    column = next(line.index("*") for line in lines if "*" in line)
    assert lines[-2].index("1 min") == column


def test_a_reading_on_the_limit_is_marked():
    lines = leakage_picture([300.0], [1e-3], until_s=300.0, limit=[(1.0, 1e-3), (300.0, 1e-3)])
    assert sum(line.count("#") for line in lines) == 1


@pytest.mark.parametrize("bad", [0.0, -1e-6, nan])
def test_what_is_no_current_is_not_drawn(bad):
    assert leakage_picture([5.0], [bad], until_s=60.0) == ["no current to draw yet"]


def test_no_limit_is_said():
    assert leakage_picture([5.0], [1e-6], until_s=60.0)[-1].endswith("(none known)")


def test_the_limit_is_drawn_from_the_time_it_is_stated_for_and_not_before():
    lines = drawn_with([(60.0, 1e-3), (300.0, 1e-3)])
    columns = {n for line in lines[:-3] for n, sign in enumerate(line) if sign in "-#"}
    begins = lines[-2].index("1 min")
    assert (min(columns), max(columns)) == (begins, 78)
    assert len(columns) == 78 - begins + 1
    assert lines[-1].endswith("- limit")


def test_a_limit_that_is_stated_for_later_is_not_drawn_but_said():
    lines = drawn_with([(600.0, 1e-3)])
    assert not any("-" in line for line in lines[:-3])
    assert lines[-1].endswith("- limit (1 mA, from 10 min on)")


def drawn_with(limit):
    return leakage_picture([5.0], [5e-3], until_s=300.0, limit=limit)


@given(
    st.lists(st.tuples(st.floats(1e-3, 1e6), st.floats(1e-12, 10.0)), min_size=1, max_size=30),
    st.floats(0.5, 1e6),
)
def test_any_curve_fits(points, until_s):
    times, currents = zip(*points, strict=True)
    lines = leakage_picture(times, currents, until_s=until_s, limit=[(1.0, 1e-3), (1e5, 1e-4)])
    assert max(map(len, lines)) <= 80


def test_elsewhere_each_reading_is_a_line_and_the_curve_comes_when_due(paper):
    view = LeakageView(paper, until_s=60.0, limit=LIMIT)
    view.reading("taken  D1  answer 1", CURVE[:1], due=False)
    view.reading("taken  D1  answer 2", CURVE[:2], due=True)
    text = paper.out.getvalue()
    assert text.startswith("taken  D1  answer 1\ntaken  D1  answer 2\n")
    assert text.count("time at voltage") == 1


def test_at_a_terminal_the_curve_is_drawn_with_the_last_reading_under_it(tty):
    view = LeakageView(tty, until_s=60.0, limit=())
    view.reading("taken  D1  answer 1", CURVE[:1], due=False)
    assert tty.out.getvalue().endswith("limit (none known)\ntaken  D1  answer 1\n")


def test_the_picture_keeps_to_a_narrow_terminal(tty, monkeypatch):
    monkeypatch.setenv("COLUMNS", "60")
    narrow = Screen(tty.out)
    LeakageView(narrow, until_s=300.0, limit=[(300.0, 5e-4)]).reading("taken", CURVE, due=True)
    assert max(map(len, tty.out.getvalue().splitlines())) <= 60

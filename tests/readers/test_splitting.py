from hypothesis import given
from hypothesis import strategies as st

from captriage.readers.splitting import HEAD_LINES, LINES_AT_ONCE, split


def divided(lines):
    text = "".join(f"{line}\n" for line in lines)
    return split(text, "large.csv", headings_in=lambda row: 0)


def test_a_large_sheet_is_kept_column_by_column():
    count = HEAD_LINES + 2 * LINES_AT_ONCE + 1
    grid = divided([f"C{n},{n},,x" for n in range(count)])
    assert grid.rows[-1] == [f"C{HEAD_LINES - 1}", f"{HEAD_LINES - 1}", "", "x"]
    wanted = range(HEAD_LINES, count)
    numbers = [str(n) for n in wanted]
    assert grid.tail == [
        [f"C{n}" for n in wanted],
        numbers,
        [""] * len(wanted),
        ["x"] * len(wanted),
    ]
    assert grid.lines[-1] == count


@given(st.lists(st.text("a,", max_size=4), min_size=1, max_size=6))
def test_lines_below_the_first_ones_are_divided_as_each_of_them_alone(below):
    grid = divided(["a,a,a"] * HEAD_LINES + below)
    wanted = [line.split(",") if line else [] for line in below]
    regular = len({len(row) for row in wanted}) == 1 and "" not in below
    assert bool(grid.tail) == regular
    rows = grid.rows + list(map(list, zip(*grid.tail, strict=True)))
    while wanted and not wanted[-1]:  # blank lines at the end give a row or none
        wanted.pop()
    assert rows[HEAD_LINES : HEAD_LINES + len(wanted)] == wanted
    assert not any(map(any, rows[HEAD_LINES + len(wanted) :]))

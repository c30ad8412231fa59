from hypothesis import given
from hypothesis import strategies as st

from captriage.readers.splitting import HEAD_LINES, LINES_AT_ONCE, split


def divided(lines):
    text = "".join(f"{line}\n" for line in lines)
    return split(text, "large.csv", headings_in=len)


def test_a_large_sheet_is_kept_column_by_column():
    count = HEAD_LINES + 2 * LINES_AT_ONCE + 1
    grid = divided([f"C{n},{n},,x" for n in range(count)])
    numbers = [str(n) for n in range(HEAD_LINES, count)]
    assert grid.rows[-1] == [f"C{HEAD_LINES - 1}", f"{HEAD_LINES - 1}", "", "x"]
    names, blanks, signs = [f"C{n}" for n in numbers], [""] * len(numbers), ["x"] * len(numbers)
    assert grid.tail == [names, numbers, blanks, signs]
    assert grid.lines[-1] == count


@given(st.lists(st.text("a,", min_size=1, max_size=4), min_size=1, max_size=6))
def test_lines_below_the_first_ones_are_divided_as_each_of_them_alone(below):
    grid = divided(["a,a,a"] * HEAD_LINES + below)
    wanted = [line.split(",") for line in below]
    assert bool(grid.tail) == (len({len(row) for row in wanted}) == 1)
    tail = list(map(list, zip(*grid.tail, strict=True)))
    assert [*grid.rows, *tail][HEAD_LINES:] == wanted

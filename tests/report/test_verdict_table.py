import io
from dataclasses import replace

from captriage.report.summary import assumed
from captriage.report.terminal import Terminal
from captriage.report.verdict_table import BLOCKS_AT_MOST, write_ending, write_table


def written(judgement):
    out = io.StringIO()
    write_table(judgement, out)
    return out.getvalue()


def test_the_table_keeps_to_eighty_columns(judgement):
    assert max(map(len, written(judgement).splitlines())) <= 80


def test_cautions_come_before_any_verdict(judgement):
    text = written(judgement)
    assert text.index("Mains and charged capacitors kill") < text.index("C1    ")


def test_the_first_line_is_the_summary(judgement):
    assert written(judgement).splitlines()[0].startswith("5 parts: ")


def test_every_part_has_its_verdict_in_words_with_the_reason_under_it(judgement):
    lines = written(judgement).splitlines()
    for row in judgement.verdicts.to_dict("records"):
        if row["part"].startswith("<"):
            continue  # cut to the width of its column
        at = next(i for i, line in enumerate(lines) if line.startswith(f"{row['part']}  "))
        assert f" {row['verdict']} " in f"{lines[at]} "
        assert lines[at + 1].strip() in row["because"]


def test_sections_of_a_can_stand_together_under_its_name(judgement):
    lines = written(judgement).splitlines()
    at = lines.index("Can 1: a can of 2 sections")
    heads = [line for line in lines[at + 1 :] if line and not line.startswith(" ")]
    assert heads[0].startswith("Can 1 a ")
    assert heads[1].startswith("Can 1 b ")


def test_parts_that_must_not_see_voltage_have_a_line_of_their_own(judgement):
    assert "\nNever put voltage on: <script>" in written(judgement)


def test_what_was_set_aside_is_counted_with_the_command_that_shows_it(judgement):
    named = replace(judgement, checked_by=("a b/rack.csv", "--worksheet", "C's"))
    assert written(named).endswith(
        "1 cell or line was set aside; see them with:\n"
        "  captriage check 'a b/rack.csv' --worksheet 'C'\"'\"'s'\n"
    )


def test_what_a_book_set_aside_is_counted_with_the_sheet_it_came_from(judgement):
    assert written(judgement).endswith(
        "1 cell or line of rack.csv was set aside; 'captriage check' on the sheet shows\nwhy.\n"
    )


def test_a_number_is_not_parted_from_its_unit(judgement):
    for line in written(judgement).splitlines():
        assert not line.startswith(("    %", "      %", "    µF", "    V "))


def test_a_sheet_of_thousands_is_one_line_a_part(judgement):
    many = BLOCKS_AT_MOST + 1
    rows = judgement.verdicts.iloc[[0] * many].reset_index(drop=True)
    lines = written(replace(judgement, verdicts=rows)).splitlines()
    assert len([line for line in lines if line.startswith("C1  ")]) == many


def test_thousands_of_parts_that_must_not_see_voltage_are_cut_short(judgement):
    names = [f"X{n}" for n in range(BLOCKS_AT_MOST + 1)]
    rows = judgement.verdicts.iloc[[2] * len(names)].reset_index(drop=True).assign(part=names)
    text = written(replace(judgement, verdicts=rows))
    last = text[text.index("\nNever put voltage on: ") :].split("\n\n")[0]
    assert " ".join(last.split()) == (
        "Never put voltage on: X0, X1, X2, X3, X4, X5, X6, X7 and 1993 others; "
        "see energise in --format csv."
    )


def test_up_to_two_thousand_parts_that_must_not_see_voltage_are_all_named(judgement):
    names = [f"X{n}" for n in range(BLOCKS_AT_MOST)]
    rows = judgement.verdicts.iloc[[2] * len(names)].reset_index(drop=True).assign(part=names)
    out = io.StringIO()
    write_ending(replace(judgement, verdicts=rows), Terminal(out))
    text = out.getvalue()
    named = text[text.index("Never put voltage on: ") :].split("\n\n")[0]
    assert named.split()[4:] == [*(f"{name}," for name in names[:-1]), f"{names[-1]}."]
    assert max(map(len, text.splitlines())) <= 80


def test_what_was_assumed_is_said_once_with_the_parts_it_holds_for(judgement):
    text = written(judgement)
    section = text[text.index("\nAssumed\n") :]
    said = " ".join(section.split("\n\n")[0].split())
    sentences = {each for _, each in judgement.case.evidence.assumptions}
    assert sentences
    for sentence in sentences:
        assert said.count(f": {sentence}") == 1
    undated = "date of making not told: era of limits open"
    parts = judgement.verdicts.loc[judgement.verdicts["assumed"].str.contains(undated), "part"]
    assert f"- {', '.join(' '.join(part.split()) for part in parts)}: {undated}" in said


def test_an_assumption_of_many_parts_names_a_few(judgement):
    names = [f"X{n}" for n in range(20)]
    mixed = judgement.verdicts.iloc[[1] * 19 + [0]].reset_index(drop=True).assign(part=names)
    said = assumed(replace(judgement, verdicts=mixed))
    assert any(each.startswith("X0, X1, X2, X3, X4, X5, X6, X7 and 11 others: ") for each in said)
    alike = judgement.verdicts.iloc[[1] * 20].reset_index(drop=True).assign(part=names)
    assert all(
        each.startswith("all 20 parts: ") for each in assumed(replace(judgement, verdicts=alike))
    )

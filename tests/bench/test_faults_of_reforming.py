"""Every fault of the supply in every phase of a run: off in time, in words, and kept."""

from bench.faulty_reforming import CASES, Case, fault_tests, reformed

test_a_fault_in_a_run, test_what_came_of_the_runs_is_told = fault_tests(
    [case for case in CASES if case[0] == "supply"]
)


def test_a_supply_that_falls_silent_while_it_is_raised_ends_the_run(tmp_path):
    reformed(tmp_path, Case("supply", "silence", "ramp"))

"""Every fault of meters and clips in every phase of a run: off in time, in words, and kept."""

from bench.faulty_reforming import CASES, fault_tests

test_a_fault_in_a_run, test_what_came_of_the_runs_is_told = fault_tests(
    [case for case in CASES if case[0] != "supply"]
)

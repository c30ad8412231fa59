"""Judging: limits, expectations, rules, house policy, verdicts."""

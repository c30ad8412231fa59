"""Judging: limits, expectations, rules, house policy, verdicts; not `judge`, which is a job."""

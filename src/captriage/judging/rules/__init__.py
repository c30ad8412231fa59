"""The rules, in the order of their weight: of two that advise the same, the first decides.

A new rule is a function in one of the files beside this one, and a place in :data:`RULES`.
"""

from __future__ import annotations

from typing import Final

from captriage.judging.rules.by_capacitance import (
    capacitance_not_high,
    capacitance_not_low,
    meter_in_range,
    not_dried_out,
    not_open,
    not_shorted,
)
from captriage.judging.rules.by_eye import (
    case_undamaged,
    cool_and_quiet,
    looks_understood,
    outside_in_order,
    polarity_clear,
    polarity_right,
    seal_free_of_residue,
)
from captriage.judging.rules.by_history import (
    cells_understood,
    life_left,
    readings_agree,
    readings_within_limits,
    reform_settled,
    unchanged_by_reform,
    voltage_within_rating,
)
from captriage.judging.rules.by_loss_and_leakage import (
    leakage_not_rising,
    leakage_proven_after_idling,
    leakage_within_limit,
    loss_within_limit,
)
from captriage.judging.rules.finding import Rule

__all__ = ["RULES", "Rule"]

RULES: Final[tuple[Rule, ...]] = (
    case_undamaged,
    cool_and_quiet,
    polarity_right,
    not_shorted,
    voltage_within_rating,
    reform_settled,
    leakage_not_rising,
    not_open,
    not_dried_out,
    outside_in_order,
    polarity_clear,
    looks_understood,
    cells_understood,
    readings_agree,
    leakage_within_limit,
    loss_within_limit,
    capacitance_not_low,
    capacitance_not_high,
    unchanged_by_reform,
    leakage_proven_after_idling,
    seal_free_of_residue,
    meter_in_range,
    life_left,
    readings_within_limits,
)

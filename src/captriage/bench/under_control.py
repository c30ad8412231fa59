"""The supply under control: set, read back, ramped and switched off through its guardian."""

from __future__ import annotations

from math import isnan, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.stopping import Stopped
from captriage.columns import CURRENT, VOLTAGE
from captriage.errors import CapTriageError
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.guarded import GuardedSupply
    from captriage.bench.measured import Answer
    from captriage.bench.profile import Profile
    from captriage.bench.sitting import Part, Sitting
    from captriage.reform.steps import Plan

SET_EVERY_S: Final = 0.3
"""From one setting of a ramp to the next: each is read back. [s]"""

LONGEST_S: Final = 1.0
"""Part of a ramp that is set at once, where the run was held up for longer. [s]"""

DOWN_TIMES: Final = 10.0
"""Times faster than up that the voltage is lowered: nothing is charged by it. Ours."""

SPOKEN: Final = {
    "set_voltage": "voltage",
    "set_current_limit": "current limit",
    "clear_trip": "trip cleared",
    "protect_voltage": "switches itself off above",
    "protect_current": "switches itself off at its current limit",
    "unprotect_current": "holds its current limit, and stays on there",
    "on": "output on",
}
"""Actions of a supply, in words; a figure may follow."""

UNITS: Final = {"v": "V", "a": "A"}
"""Units of settings, by the last letter of their names."""

SHORT_ABOVE: Final = 1.02
"""Times the current into a short that the supply's limit must be, for the limit itself to be the
sign of a fault; below, it may be met while the part charges."""


class UnderControl:
    """What feeds the part in a run: a supply behind its guardian.

    Parameters
    ----------
    supply : GuardedSupply
        Started, its output off.
    profile : Profile
        Of the supply.
    sitting : Sitting
        Book, screen, clock.
    part, plan : Part, Plan
        The part, and what is carried out.

    Attributes
    ----------
    set_v : float
        What it is set to, as it says itself. [V]
    """

    controlled = True

    def __init__(
        self, supply: GuardedSupply, profile: Profile, sitting: Sitting, *, part: Part, plan: Plan
    ) -> None:
        self.supply, self.profile, self.sitting = supply, profile, sitting
        self.part, self.plan = part, plan
        self.set_v = 0.0
        self._set_at_s = self._towards_v = nan
        self._told = ""

    @property
    def supply_v(self) -> float:
        """At its terminals; NaN not known. [V]"""
        return _of(self.supply.volts, VOLTAGE)[0]

    @property
    def most_v(self) -> float:
        """What it is set to. [V]"""
        return self.set_v

    @property
    def unsure_v(self) -> float:
        """Uncertainty of that. [V]"""
        return _of(self.supply.volts, VOLTAGE)[1]

    @property
    def supply_a(self) -> tuple[float, float]:
        """Current at its terminals and its uncertainty; NaN not known. [A]"""
        return _of(self.supply.amps, CURRENT)

    def begin(self) -> None:
        """Set limits and protections, each read back, then switch on at 0 V.

        Raises
        ------
        Gone, Silent, Garbled, Unset, CapTriageError
            It does not take them; it is off.
        """
        plan, actions = self.plan, self.profile.actions
        self._do("set_voltage", voltage_v=0.0)
        self._do("set_current_limit", current_a=plan.supply_limit_a)
        if "protect_voltage" in actions:
            if "clear_trip" in actions:
                self._do("clear_trip")
            self._do("protect_voltage", protection_v=plan.protection_v)
        else:
            self._note("it has no protection of its own against too high a voltage")
        above_short = plan.supply_limit_a >= SHORT_ABOVE * plan.short_a
        protect = "protect_current" if above_short else "unprotect_current"
        if protect in actions:
            self._do(protect)
        self._do("on")
        self._set_at_s = self.sitting.clock.monotonic()

    def _do(self, action: str, **settings: float) -> None:
        told = self.supply.perform(action, **settings)
        said = SPOKEN.get(action, action.replace("_", " "))
        figures = [format_quantity(value, UNITS[name[-1]]) for name, value in told.items()]
        self._note(f"{' '.join([said, *figures])}, {'read back' if figures else 'confirmed'}")

    def _note(self, said: str) -> None:
        self.sitting.records.event("note", f"{self.supply.name}: {said}", self.part)
        self.sitting.show.tell("supply", said)

    def tick(self) -> None:
        """Say that the run is alive, and hear of the supply.

        Raises
        ------
        Stopped
            It was switched off.
        """
        self.supply.beat()
        self.hear()
        if self.supply.off is not None:
            raise Stopped(f"{self.supply.name}: {self.supply.off.why}")

    def hear(self) -> None:
        """Keep and tell what was wrong at the wire of the supply."""
        faults, self.supply.faults = self.supply.faults, []
        for fault in faults:
            self.sitting.records.event("fault", fault, self.part)
            self.sitting.show.tell("fault", fault)

    def approach(self, target_v: float) -> bool:
        """Raise the voltage, no faster than the plan says; whether it is there.

        Raises
        ------
        Gone, Silent, Garbled, Unset, CapTriageError
            It does not take a setting.
        """
        return self._move(target_v, self.plan.ramp_v_per_s)

    def lower(self) -> bool:
        """Lower the voltage; whether it is nought."""
        return self._move(0.0, -DOWN_TIMES * self.plan.ramp_v_per_s)

    def _move(self, target_v: float, v_per_s: float) -> bool:
        now = self.sitting.clock.monotonic()
        if self.set_v == target_v:
            return True
        if target_v != self._towards_v:  # the time at the voltage before is no part of the ramp
            self._towards_v, self._set_at_s = target_v, now
        passed_s = min(now - self._set_at_s, LONGEST_S)
        if passed_s < SET_EVERY_S:
            return False
        moved = self.set_v + v_per_s * passed_s
        volts = min(moved, target_v) if v_per_s > 0 else max(moved, target_v)
        told = self.supply.perform("set_voltage", voltage_v=volts)
        self.set_v = target_v if volts == target_v else told["voltage_v"]
        self._set_at_s = now
        return self.set_v == target_v

    def pressed(self) -> None:
        """Enter: it asks for nothing."""

    def off(self, why: str) -> str:
        """Switch off; why nobody knows whether it is, "" where it says so itself."""
        return self.supply.switch_off(why).fault

    def unsure(self) -> str:
        """Why nobody knows whether it is off by now; "" where it is.

        It is told off again and again, by the guardian or without one.
        """
        self.supply.beat()
        if self.supply.off is None or self.supply.off.fault:
            self.supply.retry()
        return "" if self.supply.off is None else self.supply.off.fault

    def close(self) -> None:
        """Let the guardian end; it goes on where the output is not known to be off."""
        self.supply.close()


def check_supply_reach(profile: Profile, plan: Plan, *, where: str) -> None:
    """Make sure that a supply can be set as a plan wants it.

    Raises
    ------
    CapTriageError
        A setting of the plan lies outside the limits of its profile.
    """
    wanted = [("voltage_v", step.supply_v, "V") for step in plan.steps]
    wanted.append(("current_a", plan.supply_limit_a, "A"))
    if "protect_voltage" in profile.actions:
        wanted.append(("protection_v", plan.protection_v, "V"))
    for name, value, unit in wanted:
        low, high = profile.limits.get(name, (0.0, value))
        if not low <= value <= high:
            raise CapTriageError(
                f"{where}: {format_quantity(value, unit)} is wanted of it; it can be set from "
                f"{format_quantity(low, unit)} to {format_quantity(high, unit)} by {profile.name}"
            )


def _of(answer: Answer | None, quantity: str) -> tuple[float, float]:
    value = None if answer is None else answer.of(quantity)
    if value is None:
        return nan, 0.0
    return value.value, 0.0 if isnan(value.uncertainty) else value.uncertainty

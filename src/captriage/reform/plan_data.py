"""A plan as the plain objects that JSON has, and back: it is planned here, and run elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, asdict, fields
from math import isfinite
from types import NoneType
from typing import Any, NoReturn, TypeVar, get_args, get_origin, get_type_hints

from captriage.errors import CapTriageError
from captriage.reform.steps import Plan

Made = TypeVar("Made")


def plan_as_data(plan: Plan) -> dict[str, Any]:
    """The plan as JSON has it, figures in SI."""
    return asdict(plan)


def plan_of_data(data: object, where: str = "plan") -> Plan:
    """The plan that was written by :func:`plan_as_data`.

    Parameters
    ----------
    data : object
        As JSON gives it. Entries that are no field of a plan are left aside.
    where : str
        As messages call it.

    Raises
    ------
    CapTriageError
        An entry is missing, or is not what stands there. Whether the plan may be carried out is
        for :func:`captriage.reform.plan_check.check_plan` to say.
    """
    return _made(Plan, data, where)


def _made(kind: type[Made], data: object, where: str) -> Made:
    """One of our dataclasses from an object."""
    if not isinstance(data, Mapping):
        _refuse(where, data, "an object is wanted")
    hints = get_type_hints(kind)
    taken: dict[str, Any] = {}
    for field in fields(kind):  # type: ignore[arg-type]
        if field.name in data:
            taken[field.name] = _value(hints[field.name], data[field.name], f"{where}.{field.name}")
        elif field.default is MISSING:
            raise CapTriageError(f"{where}: {field.name} is missing; write the plan again")
    return kind(**taken)


def _value(hint: Any, found: object, where: str) -> Any:  # noqa: ANN401
    """One entry of the type that a field has."""
    if NoneType in get_args(hint):
        return None if found is None else _value(get_args(hint)[0], found, where)
    if get_origin(hint) is tuple:
        return _tuple(get_args(hint), found, where)
    if hint is str:
        if not isinstance(found, str):
            _refuse(where, found, "a text is wanted")
        return found
    if hint not in (int, float):
        return _made(hint, found, where)
    whole = isinstance(found, int) and not isinstance(found, bool)
    if not whole and (hint is int or not isinstance(found, float) or not isfinite(found)):
        _refuse(where, found, "a whole number is wanted" if hint is int else "a number is wanted")
    try:
        return hint(found)
    except OverflowError:  # more digits than a number in SI can have
        _refuse(where, found, "a number is wanted")


def _tuple(of: tuple[Any, ...], found: object, where: str) -> tuple[Any, ...]:
    """A list, of any length where the type says so."""
    if not isinstance(found, list | tuple):
        _refuse(where, found, "a list is wanted")
    if of[-1] is Ellipsis:
        of = (of[0],) * len(found)
    if len(of) != len(found):
        _refuse(where, found, f"{len(of)} entries are wanted")
    return tuple(
        _value(hint, each, f"{where}[{number}]")
        for number, (hint, each) in enumerate(zip(of, found, strict=True), 1)
    )


def _refuse(where: str, found: object, wanted: str) -> NoReturn:
    raise CapTriageError(f"{where}: {str(found)[:40]!r}; {wanted}")

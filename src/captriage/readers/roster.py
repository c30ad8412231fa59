"""One list of parts from all tables: joined by name, contradictions told and not resolved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.columns import PARTS, empty
from captriage.readers.aside import Aside
from captriage.readers.claims import Attributes
from captriage.readers.layout import Table
from captriage.readers.names import Names

_OF_CAN = ("made", "age_years", "idle_years", "in_circuit", "grade")
_TEXTS = ("note", "flag")


@dataclass
class Members:
    """Rows of one table as claims about parts."""

    table: Table
    names: Names
    attributes: Attributes
    unique: bool = False  # every row names another part


def spread_over_can(members: Members) -> None:
    """Give the rows below a can's name what is true of the whole can."""
    names = members.names
    again = (
        [
            i > 0 and bool(can) and can == names.can[i - 1] and bool(names.section[i])
            for i, can in enumerate(names.can)
        ]
        if any(names.can)
        else [False] * len(names.can)
    )
    below = names.below | np.array(again, bool)
    if not below.any():
        return
    for name in _OF_CAN:
        column = members.attributes.values.get(name)
        if column is None:
            continue
        for i in np.flatnonzero(below).tolist():
            blank = column[i] == "" or column[i] != column[i]
            if blank and i:
                column[i] = column[i - 1]


def tell_apart(members: Members, aside: Aside) -> None:
    """Rename rows of one table that give one name to parts of different ratings."""
    names = members.names.part
    keys = keys_of(names)
    members.unique = len(set(keys)) == len(keys)
    if members.unique:
        return
    alike = _told_by_case(names, keys)
    if alike:
        keys = [n if n in alike else k for n, k in zip(names, keys, strict=True)]
    values = members.attributes.values
    rated = [values[c] for c in ("capacitance_rated", "voltage_rated") if c in values]
    if not rated:
        return
    groups: dict[str, list[int]] = {}
    for i, key in enumerate(keys):
        groups.setdefault(key, []).append(i)
    for rows in groups.values():
        if len(rows) > 1:
            _rename(members, rows, rated, aside)


def _rename(
    members: Members, rows: list[int], rated: Sequence[NDArray[np.generic]], aside: Aside
) -> None:
    names, table = members.names, members.table
    kinds: list[tuple[tuple[float, ...], str]] = []
    for i in rows:
        mine = tuple(float(column[i]) for column in rated)
        fitting = next((name for rating, name in kinds if _same(rating, mine)), None)
        if fitting is None:
            fitting = names.part[i]
            if kinds:
                fitting = f"{fitting} (line {table.lines[i]})"
                aside.add(
                    table.file,
                    int(table.lines[i]),
                    found=names.part[i],
                    reason=f"a second part of this name with another rating; the first is on line "
                    f"{table.lines[rows[0]]}; read as '{fitting}'",
                    remedy="give every part a name of its own",
                )
            kinds.append((mine, fitting))
        if fitting != names.part[i]:
            members.attributes.say(np.array([i]), f"one of several parts named {names.part[i]}")
        names.part[i] = fitting


def _same(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return all(
        a != a or b != b or abs(a - b) <= 1e-6 * abs(a) for a, b in zip(one, other, strict=True)
    )


def keys_of(names: Sequence[str]) -> list[str]:
    """Names as they are compared: case and spaces do not count."""
    joined = "\n".join(names).casefold().replace(" ", "").split("\n")
    if len(joined) == len(names):
        return joined
    return [name.casefold().replace(" ", "") for name in names]


def join(members: Sequence[Members], aside: Aside) -> tuple[pd.DataFrame, list[NDArray[np.int64]]]:
    """Parts of all tables, and for each table the parts row of each of its rows."""
    if not members:
        return empty(PARTS), []
    if len(members) == 1 and members[0].unique:
        return _claims(members[0]), [np.arange(len(members[0].names.part))]
    folded = [keys_of(member.names.part) for member in members]
    exact: set[str] = set()
    for member, own in zip(members, folded, strict=True):
        exact |= _told_by_case(member.names.part, own)
    keys: list[str] = []
    for member, own in zip(members, folded, strict=True):
        names = member.names.part
        keys += [n if n in exact else k for n, k in zip(names, own, strict=True)] if exact else own
    codes, found = pd.factorize(np.array(keys, object))
    stacked = pd.concat([_claims(member) for member in members], ignore_index=True)
    if len(found) < len(keys):
        stacked = _merged(stacked, codes, len(found), members, aside)
    ends = np.cumsum([len(member.names.part) for member in members])
    return stacked, np.split(codes.astype(np.int64), ends[:-1])


def _told_by_case(names: Sequence[str], keys: Sequence[str]) -> set[str]:
    """Names of one table that differ only in case or spaces, and so are different parts."""
    different = len(set(keys))
    if different == len(names) or different == len(set(names)):
        return set()
    seen: dict[str, str] = {}
    alike: set[str] = set()
    for name, key in zip(names, keys, strict=True):
        other = seen.setdefault(key, name)
        if other != name:
            alike |= {name, other}
    return alike


def blank_texts(n: int) -> pd.api.extensions.ExtensionArray:
    """Column of n blank texts."""
    return pd.array([""], dtype="str").take(np.zeros(n, np.intp))


def _claims(member: Members) -> pd.DataFrame:
    """Parts frame with one row a row of the table."""
    n = len(member.names.part)
    given: dict[str, Sequence[object] | NDArray[Any]] = {
        "part": member.names.part,
        "can": member.names.can,
        "section": member.names.section,
        "source_file": [member.table.file] * n,
        "line": member.table.lines,
    }
    given |= member.attributes.values
    columns: dict[str, object] = {}
    for name, dtype in PARTS.items():
        if name in given and not (dtype == "str" and not any(given[name])):
            texts = np.array(given[name], object) if dtype == "str" else None
            columns[name] = given[name] if texts is None else pd.array(texts, dtype="str")
        else:
            columns[name] = np.full(n, np.nan) if dtype == "float64" else blank_texts(n)
    return pd.DataFrame(columns, copy=False)


def _merged(
    stacked: pd.DataFrame,
    codes: NDArray[np.int64],
    count: int,
    members: Sequence[Members],
    aside: Aside,
) -> pd.DataFrame:
    """One row a part of the claims of several rows; contradicting claims become none."""
    first = np.full(count, -1, np.int64)
    first[codes[::-1]] = np.arange(len(codes))[::-1]
    out = stacked.iloc[first].reset_index(drop=True)
    member_of = np.repeat(np.arange(len(members)), [len(m.names.part) for m in members])
    claimed = {"can", "section"}.union(*(member.attributes.values for member in members))
    for name, dtype in PARTS.items():
        if name not in claimed:
            continue
        column = stacked[name]
        filled = np.flatnonzero((column.notna() & (column != "")).to_numpy())
        if not filled.size:
            continue
        if name in _TEXTS:
            out[name] = _joined(column, codes, filled, count)
            continue
        values = column.to_numpy()
        told = np.full(count, -1, np.int64)
        told[codes[filled][::-1]] = filled[::-1]
        has = told >= 0
        merged = out[name].to_numpy(copy=True)
        merged[has] = values[told[has]]
        against = filled[_differ(values[filled], values[told[codes[filled]]], dtype)]
        if against.size:
            _contradiction(
                name, merged, codes, told, against, member_of, stacked, members, aside, out
            )
        out[name] = pd.Series(merged, dtype=dtype)
    return out


def _differ(mine: NDArray[np.generic], first: NDArray[np.generic], dtype: str) -> NDArray[np.bool_]:
    if dtype == "float64":
        a, b = np.asarray(mine, np.float64), np.asarray(first, np.float64)
        return np.asarray(np.abs(a - b) > 1e-6 * np.abs(b), np.bool_)
    return np.array([a != b for a, b in zip(mine.tolist(), first.tolist(), strict=True)], bool)


def _joined(
    column: pd.Series, codes: NDArray[np.int64], filled: NDArray[np.int64], count: int
) -> pd.Series:
    texts: list[list[str]] = [[] for _ in range(count)]
    for i in filled.tolist():
        text = str(column.iloc[i])
        if text not in texts[codes[i]]:
            texts[codes[i]].append(text)
    return pd.Series(["; ".join(said) for said in texts], dtype="str")


def _contradiction(
    name: str,
    merged: NDArray[np.generic],
    codes: NDArray[np.int64],
    told: NDArray[np.int64],
    against: NDArray[np.int64],
    member_of: NDArray[np.int64],
    stacked: pd.DataFrame,
    members: Sequence[Members],
    aside: Aside,
    out: pd.DataFrame,
) -> None:
    """Take neither of two contradicting claims, and name both places."""
    spoken = name.replace("_", " ")
    lines, files = stacked["line"].to_numpy(), stacked["source_file"].tolist()
    names, claims = stacked["part"].tolist(), stacked[name].tolist()
    start = np.searchsorted(member_of, np.arange(len(members)))
    for part in dict.fromkeys(codes[against].tolist()):
        rows = [int(told[part]), *[int(i) for i in against if codes[i] == part]]
        places = " and ".join(f"{files[i]}:{lines[i]}" for i in rows)
        for i in rows:
            member = members[member_of[i]]
            number, heading = member.attributes.place(name)
            cell = member.table.cells[number - 1][i - start[member_of[i]]] if number else ""
            aside.add(
                files[i],
                int(lines[i]),
                column=number,
                heading=heading or spoken,
                found=cell or str(claims[i]),
                reason=f"{spoken} of {names[i]} contradicts itself: {places}",
                remedy="correct one of them; until then neither is used",
            )
        merged[part] = np.nan if PARTS[name] == "float64" else ""
        said = out["flag"].iat[part]
        text = f"{spoken} contradicts itself"
        out.loc[part, "flag"] = "; ".join([str(said), text] if said else [text])

"""Questions that tests put to the frames of a sheet."""

from __future__ import annotations

from captriage.columns import located


def reading(sheets, part, quantity, column="value"):
    found = located(sheets.readings, sheets.parts)
    rows = found[(found["part"] == part) & (found["quantity"] == quantity)]
    assert len(rows) == 1, rows
    return rows[column].iloc[0]


def part(sheets, name):
    rows = sheets.parts[sheets.parts["part"] == name]
    assert len(rows) == 1, sheets.parts["part"].tolist()
    return rows.iloc[0]

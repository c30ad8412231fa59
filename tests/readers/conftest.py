"""Sheets written on the fly, for every test of whole sheets."""

from __future__ import annotations

import pytest

from captriage.readers.sheets import read_sheets


@pytest.fixture
def sheet(tmp_path):
    """Read sheets given as texts, each under its name."""

    def read(*contents, encoding="utf-8", **named):
        files = {f"s{i}.csv": text for i, text in enumerate(contents)} | {
            f"{name}.csv": text for name, text in named.items()
        }
        for name, text in files.items():
            (tmp_path / name).write_bytes(text.encode(encoding))
        return read_sheets([tmp_path / name for name in files], today_year=2026)

    return read

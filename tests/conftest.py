"""Makes the helpers beside the tests importable; starts a server for those that ask for one."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from hypothesis import settings

from store import postgres

sys.path.insert(0, str(Path(__file__).parent / "judging"))

# The same examples every time, so that a failure is of the change at hand and not of the day;
# DEVELOPERS.md has the recipe that looks for new ones.
settings.register_profile("same", derandomize=True)
settings.register_profile("search", derandomize=False, max_examples=600)
settings.load_profile("same")

SKIP_NOTHING = "CAPTRIAGE_TESTS_SKIP_NOTHING"
"""Set in the environment, what would be skipped for want of a program fails."""


@pytest.fixture(scope="session")
def postgres_server():
    """Address of a server of the tests' own."""
    if postgres.programs() is None:
        missing = "no PostgreSQL here: apt-get install postgresql, and this is tested too"
        if os.environ.get(SKIP_NOTHING):
            pytest.fail(missing)
        pytest.skip(missing)
    with postgres.server() as address:
        yield address


@pytest.fixture
def postgres_database(postgres_server):
    """Address of an empty database: the same for all tests, emptied before each."""
    for statement in (
        "ALTER DATABASE postgres RESET ALL",
        "SET default_transaction_read_only = off; DROP SCHEMA public CASCADE; CREATE SCHEMA public",
    ):
        postgres.execute(f"{postgres_server}/postgres", statement)
    return f"{postgres_server}/postgres"


def pytest_collection_modifyitems(items):
    """Begin with the file that takes longest: else one of two workers waits for it at the end."""
    items.sort(key=lambda item: item.path.name != "test_readme.py")


def pytest_terminal_summary(terminalreporter):
    """Write out the tables that tests have recorded, wherever they ran."""
    for report in terminalreporter.getreports("passed"):
        for name, text in report.user_properties:
            if name == "table":
                terminalreporter.section(report.nodeid, sep="-")
                terminalreporter.line(text)

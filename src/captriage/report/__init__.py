"""What is shown: tables, CSV, JSON, Markdown and HTML of what the jobs answer.

Each registry names the formats of one kind of answer, with a function that writes the answer
to a text stream. The function loads its module when it is called: naming a format costs
nothing, and no command pays for the formats it does not use.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import Any, Final, TextIO

Writer = Callable[[Any, TextIO], None]


def late(module: str, function: str) -> Writer:
    """Writer that is found in this package when it is first needed."""

    def write(answer: Any, out: TextIO) -> None:  # noqa: ANN401
        getattr(import_module(f"captriage.report.{module}"), function)(answer, out)

    return write


FORMATS: Final = {
    # of a Judgement
    "table": late("verdict_table", "write_table"),
    "csv": late("verdict_csv", "write_csv"),
    "json": late("verdict_json", "write_json"),
    "markdown": late("verdict_markdown", "write_markdown"),
    "html": late("verdict_html", "write_html"),
}
CHECK_FORMATS: Final = {
    # of Sheets
    "table": late("understood", "write_table"),
    "json": late("understood", "write_json"),
}
CARD_FORMATS: Final = {
    # of a list of Card
    "table": late("cards", "write_table"),
    "json": late("cards", "write_json"),
    "csv": late("cards", "write_csv"),
}
BENCH_FORMATS: Final = {
    # of a BenchSheet
    "csv": late("bench_sheets", "write_csv"),
    "html": late("bench_sheets", "write_html"),
    "markdown": late("bench_sheets", "write_markdown"),
}
RULE_FORMATS: Final = {
    # of a RuleBook
    "table": late("rule_books", "write_table"),
    "json": late("rule_books", "write_json"),
    "markdown": late("rule_books", "write_markdown"),
}
POLICY_FORMATS: Final = {
    # of a tuple of Policy
    "table": late("rule_books", "write_policies"),
}
BOOK_FORMATS: Final = {
    # of a BookList or JobList
    "table": late("book_lists", "write_table"),
    "json": late("book_lists", "write_json"),
}
CURVE_FORMATS: Final = {
    # of a ReadCurve
    "text": late("reform_progress", "write_table"),
    "json": late("reform_progress", "write_json"),
}
TRIAGE_FORMATS: Final = {
    # of a list of ReadCurve and Unread
    "text": late("reform_triage", "write_table"),
    "json": late("reform_triage", "write_json"),
}
METER_FORMATS: Final = {
    # of a list of MeterRow
    "table": late("meter_list", "write_table"),
    "json": late("meter_list", "write_json"),
}

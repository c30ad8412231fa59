"""The rules of the verdict in words, with their sources, and the numbers of a policy."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, TextIO

from captriage.judging.policy import RENAMED
from captriage.report.plain_data import write_object
from captriage.report.terminal import Terminal

if TYPE_CHECKING:
    from captriage.judging.policy import Policy
    from captriage.judging.rules import Rule


@dataclass(frozen=True)
class RuleBook:
    """Rules in the order they are asked, and the policy whose numbers are wanted beside them."""

    rules: tuple[Rule, ...]
    policy: Policy | None = None


def write_table(book: RuleBook, out: TextIO) -> None:
    """Write each rule as a short paragraph."""
    page = Terminal(out)
    for rule in book.rules:
        page.line(page.styled(rule.name, "heading"))
        page.paragraph(rule.sentence, first="    ")
        page.paragraph(f"Source: {rule.source}", first="    ")
    if book.policy:
        page.heading(f"Numbers of {book.policy.title} ({book.policy.name})")
        for entry, value in policy_entries(book.policy):
            page.line(f"  {entry:<42} {value}")


def write_json(book: RuleBook, out: TextIO) -> None:
    """Write one object: rules, and policy where it is wanted."""
    rules = [
        {"name": rule.name, "sentence": rule.sentence, "source": rule.source} for rule in book.rules
    ]
    policy = {"policy": asdict(book.policy)} if book.policy else {}
    write_object({"rules": rules, **policy}, out)


def write_markdown(book: RuleBook, out: TextIO) -> None:
    """Write two tables."""
    out.write("| rule | what it says | source |\n|---|---|---|\n")
    for rule in book.rules:
        row = (f"`{rule.name}`", *(cell(text) for text in (rule.sentence, rule.source)))
        out.write(f"| {' | '.join(row)} |\n")
    if book.policy:
        out.write(f"\n## Numbers of {cell(book.policy.title)}\n\n| entry | value |\n|---|---|\n")
        for entry, value in policy_entries(book.policy):
            out.write(f"| `{entry}` | {cell(str(value))} |\n")


def write_policies(policies: tuple[Policy, ...], out: TextIO) -> None:
    """Write the name of each policy and what it is for."""
    page = Terminal(out)
    for policy in policies:
        page.line(page.styled(policy.name, "heading"))
        page.paragraph(policy.sentence, first="    ")


def policy_entries(policy: Policy) -> list[tuple[str, Any]]:
    """Numbers and choices of a policy as ``table.entry`` and value, named as in its file."""
    spelt = {field: entry for entry, field in RENAMED.items()}
    tables = {name: table for name, table in asdict(policy).items() if isinstance(table, dict)}
    return [
        (f"{name}.{spelt.get(entry, entry)}", value)
        for name, table in tables.items()
        for entry, value in table.items()
    ]


def cell(text: str) -> str:
    """Text that stands in one cell of a Markdown table and is nothing but text."""
    for sign in "\\`*_{}[]<>#|~&":
        text = text.replace(sign, f"\\{sign}")
    return " ".join(text.split())

"""The commands that print what the judging rests on: rules, policy."""

from __future__ import annotations

import click

from captriage.cli.options import format_of
from captriage.cli.output import destination
from captriage.report import POLICY_FORMATS, RULE_FORMATS


@click.command()
@click.option("--policy", metavar="NAME|FILE", help="Print the numbers of this house policy too.")
@format_of(RULE_FORMATS)
def rules(policy: str | None, format_: str) -> int:
    """Print every rule, with its source."""
    from captriage.jobs import sheets as jobs

    with destination(None) as stream:
        RULE_FORMATS[format_](jobs.rules(policy=policy), stream)
    return 0


@click.command()
@click.argument("name", required=False)
def policy(name: str | None) -> int:
    """List the house policies, or print one.

    A policy is TOML to copy and change.

    For example: captriage policy ordinary-service > mine.toml
    """
    from captriage.jobs import sheets as jobs

    with destination(None) as stream:
        if name:
            stream.write(jobs.policy_text(name))
        else:
            POLICY_FORMATS["table"](jobs.policies(), stream)
    return 0

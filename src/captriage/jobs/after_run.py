"""Whether a part may see a voltage again, by all that the book has of it after a run."""

from __future__ import annotations

from typing import TYPE_CHECKING

from captriage.jobs.soak_limits import NEVER

if TYPE_CHECKING:
    from captriage.jobs.desk import Desk
    from captriage.judging.policy import Policy
    from captriage.store.rows import PartRow


def never_again(desk: Desk, row: PartRow, policy: Policy) -> bool:
    """Whether another run would be refused: the part is to be replaced.

    Parameters
    ----------
    desk, row : Desk, PartRow
        Book and job; the part.
    policy : Policy
        House policy.
    """
    from captriage.jobs.curves_in_book import beside_book
    from captriage.judging.verdicts import judge_parts

    together = [each.id for each in desk.rows if row.can and each.can == row.can] or [row.id]
    found = desk.book.sheets(desk.job.id, part_ids=together)
    year = desk.today_year
    beside = beside_book(found, desk.book, desk.job.id, policy=policy, today_year=year)
    verdicts = judge_parts(beside.sheets, policy=policy, today_year=year).verdicts
    return bool((verdicts.loc[verdicts["part"] == row.part, "energise"] == NEVER).any())

"""What judging has to say while parts are being measured; it is loaded while hands are busy."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict
from typing import TYPE_CHECKING, Final

from captriage.bench.sitting import Part
from captriage.columns import CAPACITANCE, ESR, TAN_DELTA

if TYPE_CHECKING:
    import pandas as pd

    from captriage.judging.policy import Policy
    from captriage.store.book import Book
    from captriage.store.rows import PartRow

SHOWN: Final = (CAPACITANCE, ESR, TAN_DELTA)
SOUND: Final = "sound at its age"


class LiveAdvice:
    """Limits and verdicts so far of the parts of one job.

    Parameters
    ----------
    book : Book
        Open; used by the caller's thread only.
    job_id : int
        Job.
    parts : sequence of PartRow
        Its parts.
    policy : Policy
        House policy.
    today_year : int
        Year to reckon ages to.
    frequency_hz : float
        Of the readings.
    quantities : sequence of str
        Which limits are of use.
    """

    def __init__(
        self,
        book: Book,
        job_id: int,
        parts: Sequence[PartRow],
        *,
        policy: Policy,
        today_year: int,
        frequency_hz: float,
        quantities: Sequence[str] = SHOWN,
    ) -> None:
        self._book, self._job_id = book, job_id
        self._policy, self._today_year = policy, today_year
        self._frequency_hz = frequency_hz
        self._quantities = quantities
        self._rows = {row.id: row for row in parts}
        self._aside = ThreadPoolExecutor(1, "limits")
        self._limits = self._aside.submit(self._worked_out)

    def close(self) -> None:
        """Wait until nothing is being worked out any more."""
        self._aside.shutdown()

    def limits(self, part: Part) -> str | None:
        """What a sound part of that age reads; None as long as that is being worked out."""
        return self._limits.result().get(part.id, "") if self._limits.done() else None

    def verdict(self, part: Part) -> Sequence[str]:
        """The verdict so far, by the same judging as ``captriage judge``."""
        self._limits.result()  # two threads that load pandas at once would wait for each other
        from captriage.judging.verdicts import judge_parts
        from captriage.report.figures import percent

        row = self._rows[part.id]
        together = [each.id for each in self._rows.values() if row.can and each.can == row.can] or [
            row.id
        ]
        found = self._book.sheets(self._job_id, part_ids=together)
        judged = judge_parts(found, policy=self._policy, today_year=self._today_year).verdicts
        verdict = judged.loc[judged["part"] == row.part].iloc[0]
        sure = f" ({percent(verdict['confidence'])} sure)" if verdict["confidence"] > 0 else ""
        said = [f"so far: {verdict['verdict']}{sure}. {verdict['because']}"]
        return [*said, f"next: {verdict['next']}"] if verdict["next"] else said

    def standing(self) -> str:
        """How the verdicts on all parts of the job stand: "12 parts: 3 keep, 4 reform, ..."."""
        self._limits.result()
        from captriage.judging.verdicts import judge_parts
        from captriage.report.summary import counted

        found = self._book.sheets(self._job_id)
        return counted(judge_parts(found, policy=self._policy, today_year=self._today_year))

    def _worked_out(self) -> dict[int, str]:
        from captriage.judging.expectations import expected_bands
        from captriage.report.figures import NAMES, span

        rows = list(self._rows.values())
        bands = expected_bands(
            parts_frame(rows),
            policy=self._policy,
            today_year=self._today_year,
            frequency_hz=self._frequency_hz,
        )
        sound = bands.loc[bands["state"].eq(SOUND) & bands["quantity"].isin(self._quantities)]
        said: dict[int, list[str]] = {}
        for place, quantity, low, high in zip(
            sound["part_row"], sound["quantity"], sound["low"], sound["high"], strict=True
        ):
            if low == low or high == high:
                text = f"{NAMES[quantity]} {span(low, high, quantity)}"
                said.setdefault(rows[int(place)].id, []).append(text)
        return {part: "sound at its age: " + ", ".join(texts) for part, texts in said.items()}


def parts_frame(rows: Sequence[PartRow]) -> pd.DataFrame:
    """Frame of :data:`captriage.columns.PARTS` of these parts."""
    import pandas as pd

    from captriage.columns import PARTS

    records = [asdict(row) for row in rows]
    return pd.DataFrame({name: [each[name] for each in records] for name in PARTS}).astype(PARTS)

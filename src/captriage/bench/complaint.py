"""Something that is wrong at the bench, said at once, and once for as long as it lasts."""

from __future__ import annotations

from captriage.bench.sitting import Part, Sitting


class Complaint:
    """What is wrong with one thing that is watched.

    Parameters
    ----------
    sitting : Sitting
        Where it is kept, rung and told.
    part : Part
        Whom it concerns.
    label : str
        Word before the sentence.
    """

    def __init__(self, sitting: Sitting, part: Part, label: str) -> None:
        self._sitting, self._part, self._label = sitting, part, label
        self._said = ""

    def that(self, what: str, said: str) -> None:
        """Say it, unless ``what`` is wrong still."""
        if what == self._said:
            return
        self._said = what
        self._sitting.records.event("note", said, self._part)
        self._sitting.show.bell()
        self._sitting.show.tell(self._label, said)

    def over(self) -> None:
        """Nothing is wrong any more: the next time it is said again."""
        self._said = ""

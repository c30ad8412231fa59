"""The errors a caller can meet; every message says where, what was found and what to do."""

from __future__ import annotations


class CapTriageError(Exception):
    """Anything CapTriage refuses; the text is fit to show a user as it is."""


class ReadingsError(CapTriageError):
    """A sheet of which nothing can be used, or that cannot be opened."""


class MarkingError(CapTriageError):
    """A rating, tolerance or date code that cannot be read."""


class PolicyError(CapTriageError):
    """A house policy that is missing, or holds something it may not."""

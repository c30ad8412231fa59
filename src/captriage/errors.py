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


class ProfileError(CapTriageError):
    """A meter profile that is missing or wrong, or a request outside what the meter can do."""


class MeterError(CapTriageError):
    """A meter gave no usable answer; which of the four kinds below says what to do."""


class Silent(MeterError):
    """Nothing came in time; the answer may still come late, and must not be believed then."""


class Gone(MeterError):
    """The wire is dead: unplugged, refused, closed, or in other hands. Open it again."""


class Garbled(MeterError):
    """Something came that is no answer of the shape that was asked for."""


class Unset(MeterError):
    """It is not set as it was told to be, or calls what it was told an error; read nothing."""


class BookError(CapTriageError):
    """A bench book that cannot be opened, written or believed."""

"""How the source of a published figure was come by: quoted wherever the figure is."""

from __future__ import annotations

from typing import Final

READ: Final = "read in the source"
REPORTED: Final = "as reported by a secondary source"
MEMORY: Final = "from memory"
PRACTICE: Final = "common practice"

STANDINGS: Final = {
    READ: "the named document, or a stored copy of it, was read",
    REPORTED: "another document was read that reports it",
    MEMORY: "no document was read: nothing should rest on it alone",
    PRACTICE: "the trade does so; there is no document",
}

ENCYCLOPEDIA: Final = "Wikipedia, Aluminum electrolytic capacitor"
NO_DOCUMENT: Final = "no document read"

"""CapTriage: keep, reform or replace, for every electrolytic in an old machine."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from captriage.jobs.sheets import judge

__all__ = ["__version__", "judge"]
__version__ = "0.3.0"


def __getattr__(name: str) -> Any:  # noqa: ANN401
    """Load the job on first use, so that ``captriage --help`` need not wait for pandas."""
    if name == "judge":
        from captriage.jobs.sheets import judge

        return judge
    raise AttributeError(f"module 'captriage' has no attribute {name!r}")

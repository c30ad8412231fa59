"""One thread at a time on a wire, and one kind of error for all that is dead below it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from types import TracebackType

from captriage.bench.refusals import gone
from captriage.errors import Garbled, Gone, ProfileError, Silent


class Guard:
    """Context in which a wire is used.

    Parameters
    ----------
    where, address : str
        How messages call the meter; its VISA name.
    drop : callable
        Lets go of a connection that is dead.
    """

    def __init__(self, where: str, address: str, *, drop: Callable[[], None]) -> None:
        self._where = where
        self._address = address
        self._drop = drop
        self._lock = threading.RLock()

    def __enter__(self) -> None:
        self._lock.acquire()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        try:
            if not isinstance(error, Exception) or isinstance(
                error, Silent | Garbled | ProfileError
            ):
                return
            self._drop()
            if not isinstance(error, Gone):
                raise gone(self._where, self._address, error) from error
        finally:
            self._lock.release()

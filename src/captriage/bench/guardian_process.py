"""The process of a guardian: what is said and heard at its two ends."""

from __future__ import annotations

import queue
import signal
import sys
import threading
from pathlib import Path
from typing import Final

from captriage.bench.guardian import ANSWER_S, Allowed, Guardian
from captriage.bench.held_supply import HeldSupply
from captriage.bench.pipe import Inbox, Message, listen, say
from captriage.errors import CapTriageError

IGNORED: Final = ("SIGINT", "SIGHUP", "SIGQUIT", "SIGTSTP", "SIGPIPE")
"""Signals of a terminal, which are meant for the run; not every system has all."""


def main() -> None:
    """Be the guardian of the run at the other end of standard input and output."""
    from captriage.bench.clock import SystemClock

    for name in IGNORED:
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_IGN)
    inbox: Inbox = queue.SimpleQueue()
    signal.signal(signal.SIGTERM, lambda *_: inbox.put(None))
    threading.Thread(target=listen, args=(sys.stdin, inbox), daemon=True).start()

    def tell(message: Message) -> None:
        say(sys.stdout, message)

    first = inbox.get()
    if first is None:
        return
    clock = SystemClock()
    try:
        supply = HeldSupply.of(
            str(first["profile"]),
            str(first["address"]),
            name=str(first["name"]),
            clock=clock,
            backend=str(first["backend"]),
            answer_s=ANSWER_S,
        )
        identity = supply.open()
    except CapTriageError as error:
        kind = type(error).__name__
        tell({"said": "refused", "number": 0, "kind": kind, "text": str(error)})
        return
    words = Path(first["last_words"]) if first["last_words"] else None
    allowed = Allowed(first["highest_v"], first["highest_a"], first["until_s"])
    guardian = Guardian(supply, allowed, tell=tell, clock=clock, last_words=words)
    tell({"said": "done", "number": 0, "told": {"identity": identity}})
    guardian.attend(inbox)


if __name__ == "__main__":
    main()

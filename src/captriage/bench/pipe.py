"""What goes through the pipe between a run and its guardian: one message a line, in JSON."""

from __future__ import annotations

import json
import queue
from contextlib import suppress
from datetime import datetime
from typing import IO, Any

from captriage.bench.measured import Answer, Value

Message = dict[str, Any]
Inbox = queue.SimpleQueue[Message | None]
"""Messages in the order they came; None when the other end has ended."""


def say(stream: IO[str], message: Message) -> None:
    """Send a message; where the other end has died, that is heard at the pipe from it."""
    with suppress(OSError, ValueError):
        stream.write(json.dumps(message) + "\n")
        stream.flush()


def listen(stream: IO[str], inbox: Inbox) -> None:
    """Put what comes into the inbox until the other end has ended."""
    try:
        for line in stream:
            inbox.put(json.loads(line))
    except ValueError:
        pass  # cut in the middle of a message: the other end has died
    finally:
        inbox.put(None)


def written(answer: Answer | None) -> Message | None:
    """An answer of one value as it is sent; None for none."""
    if answer is None:
        return None
    (value,) = answer.values
    return {
        "value": value.value,
        "uncertainty": value.uncertainty,
        "flag": value.flag,
        "raw": answer.raw,
        "utc": answer.utc.isoformat(),
        "monotonic_s": answer.monotonic_s,
    }


def understood(message: Message | None, quantity: str) -> Answer | None:
    """An answer of one quantity as it came; None for none."""
    if message is None:
        return None
    value = Value(quantity, message["value"], message["uncertainty"], flag=message["flag"])
    utc = datetime.fromisoformat(message["utc"])
    return Answer((value,), message["raw"], utc, message["monotonic_s"])

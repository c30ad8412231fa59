"""What a capture has to say of a part, in words, and what of it rings the bell."""

from __future__ import annotations

from typing import Final

from captriage.bench.manner import Said

SENTENCES: Final = {
    Said.NOTICED: "is in the clips",
    Said.CAME_OFF: "came off before all readings were taken: clip it on again",
    Said.NO_NUMBER: "gave no number before all readings were taken: begun anew, leave it on",
    Said.JUMPED: "jumped while it was read: begun anew",
    Said.PAUSED: "was not watched for a while, and may be another: begun anew",
    Said.INTERMITTENT: "INTERMITTENT CONTACT, in the clips or in the part: begun anew",
    Said.DRIFTING: "drifts and does not settle: Enter takes it as it is, s passes over",
    Said.LOOKS_OPEN: "reads like open clips: clip it on, or Enter files it as it reads",
    Said.UNCLEAR: "gives no number: Enter goes on without one, s passes over",
    Said.SAME: "reads just as the part before: Enter if it is another, else take it off",
    Said.CHANGED: "reads otherwise now: open the clips, or Enter if the next part is in them",
    Said.OPENED: "may come: the clips are open",
    Said.OCCUPIED: "comes next: open the clips first, or Enter if it is in them already",
}
CALLS: Final = {Said.DRIFTING, Said.LOOKS_OPEN, Said.UNCLEAR, Said.SAME, Said.INTERMITTENT}
"""What has the bell rung: the person has to do something."""

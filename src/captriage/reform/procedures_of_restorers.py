"""Ways to reform that restorers and the trade have published on their pages, as data.

What a source leaves open is ours, and is said in what the procedure does.
"""

from __future__ import annotations

import math
from typing import Final

from captriage.reform.procedure import (
    COMMON,
    HOUR,
    MINUTE,
    SECOND_HAND,
    TENTHS,
    Procedure,
    Schedule,
)

FROM_HALF: Final = (0.5, 0.6, 0.7, 0.8, 0.9, 1.0)

OF_RESTORERS: Final = (
    Procedure(
        name="equipment-half-then-slowly",
        does="for parts in their equipment, here taken out of it: nothing within 2 years; then "
        "half of the voltage for about 10 min, and slowly up from there (in five steps of 10 min, "
        "ours)",
        schedules=(
            Schedule(0.0, (), 0.0, 0.0, 0.0, 0.0),
            Schedule(2.0, FROM_HALF, 10 * MINUTE, HOUR / 2, 10 * MINUTE, HOUR / 2),
        ),
        source="a maker's note, quoted in a forum thread at https://www.hifisentralen.no, 95835",
        standing=SECOND_HAND,
        until_limit=False,
    ),
    Procedure(
        name="drive-third-seventy-full",
        does="for drives: nothing within 2 years; then 30 to 50 % (here 30 %), 70 % and 100 %, for "
        "1 to 2 h, 1 to 2 h and 2 to 4 h",
        schedules=(
            Schedule(0.0, (), 0.0, 0.0, 0.0, 0.0),
            Schedule(2.0, (0.30, 0.70, 1.00), HOUR, 2 * HOUR, 2 * HOUR, 4 * HOUR),
        ),
        source="a trade page on drives, https://industrialmonitordirect.com/blogs/knowledgebase/"
        "vfd-capacitor-shelf-life-and-reforming-procedures",
        standing=SECOND_HAND,
        until_limit=False,
    ),
    Procedure(
        name="restorer-15k-until-settled",
        does="the voltage of the circuit at once through 15 kΩ, until the current has settled "
        "(24 h at most, ours)",
        schedules=(Schedule(0.0, (1.0,), HOUR, HOUR, 24 * HOUR, 24 * HOUR),),
        source="a radio restorer's post, https://www.vintage-radio.net/forum/showpost.php?"
        "p=217662&postcount=30, on cans of high voltage",
        standing=COMMON,
        resistors=((math.inf, 15e3),),
        reject="more than 0.15 µA for each µF and V with plain foil, 0.5 µA with etched; a part "
        "that is warm at the end is doubtful",
    ),
    Procedure(
        name="amplifier-100k-until-settled",
        does="full voltage, or that of the amplifier, at once through 100 kΩ, until the current "
        "has settled (24 h at most, ours)",
        schedules=(Schedule(0.0, (1.0,), HOUR, HOUR, 24 * HOUR, 24 * HOUR),),
        source="a post in a forum on amplifiers with valves, https://el34world.com/Forum/"
        "index.php?topic=17500.msg175790",
        standing=COMMON,
        resistors=((math.inf, 100e3),),
    ),
    Procedure(
        name="computer-30k-rise-1ma",
        does="for large cans of low voltage: raised smoothly through 30 kΩ (in ten steps of 5 min "
        "at least, ours), the current never above 1 mA",
        schedules=(Schedule(0.0, TENTHS, 5 * MINUTE, 5 * MINUTE, 2 * HOUR, 8 * HOUR),),
        source="a restorer of computers, http://www.vintagecomputer.net/browse_thread.cfm?id=237",
        standing=COMMON,
        resistors=((math.inf, 30e3),),
        current_a=1e-3,
        reject="rated voltage not reached without more than 1 mA; 0.5 mA at most is aimed at",
    ),
    Procedure(
        name="amateur-steps-within-hour",
        does="in steps (ten of 5 min at least, ours) up to rated voltage, given up where that "
        "takes more than 1 h to come near a usual current; then rest from overnight to 2 days",
        schedules=(Schedule(0.0, TENTHS, 5 * MINUTE, 5 * MINUTE, HOUR, HOUR),),
        source="a radio amateur's post of October 2016, "
        "http://mailman.qth.net/pipermail/amradio/2016-October/034543.html",
        standing=COMMON,
        reject="more than 1 h to approach a usual current; leakage that is back after the rest",
    ),
)

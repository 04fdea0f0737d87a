"""What the gallery shows of the bench: the stations, one set step by step, the codes for the scanner."""

from __future__ import annotations

from typing import Final

from gallery_scenes import LARGE, SMALL, Scene

_HERE: Final = "/at/valley/bench"

BENCH_SCENES: Final[tuple[Scene, ...]] = (
    Scene(
        "bench",
        "The bench",
        "How many sets each station has before it, and where everything else of the bench is.",
        _HERE,
        who="technician",
        sizes=("tablet", "phone"),
    ),
    Scene(
        "bench-sink",
        "At the sink",
        "What waits, what soaks and until when; the scanner always has its field.",
        f"{_HERE}/at/sink",
        who="technician",
        sizes=("tablet",),
    ),
    Scene(
        "bench-guide",
        "One set, step by step",
        "The step of now large, with figure, timer and drawing; the next two in sight.",
        "{soaking}",
        who="technician",
        sizes=("tablet", "upright", "phone"),
        dark=True,
    ),
    Scene(
        "bench-copies",
        "Sets with a code",
        "Which physical sets there are, how each stands, and the form that gives one its code.",
        f"{_HERE}/copies",
        sizes=LARGE,
    ),
    Scene(
        "bench-arrivals",
        "Arrivals",
        "What is soiled, in process or held, for which case, hours left, and when it may honestly be ready.",
        f"{_HERE}/arrivals",
        who="technician",
        sizes=("tablet", "phone"),
        dark=True,
    ),
    Scene(
        "bench-cases",
        "Cases",
        "Operations by number alone, the sets that each needs, a list or calendar to take in.",
        f"{_HERE}/cases",
        sizes=("tablet", "phone"),
    ),
    Scene(
        "bench-theatre",
        "Theatre",
        "What is missing from a set that was used, as soon as the department counts it.",
        f"{_HERE}/theatre",
        who="theatre",
        sizes=("tablet", "phone"),
    ),
    Scene(
        "bench-loads",
        "Loads",
        "Machine by machine what is built and runs, what waits for somebody who decides, what was released.",
        f"{_HERE}/loads",
        who="technician",
        sizes=("tablet", "phone"),
        dark=True,
    ),
    Scene(
        "recalls",
        "Recalls",
        "What is open, and the forms that look at what a failure reaches.",
        "/at/valley/recalls",
        sizes=("desktop", "phone"),
    ),
    Scene(
        "recall-new",
        "What a failure reaches",
        "Loads, sets and where each is now, cases; nothing is held or told before somebody opens it.",
        "/at/valley/recalls/new?kind=machine&of=sterilizer-1&words=The+door+seal+leaked.",
        sizes=("desktop", "phone"),
        dark=True,
    ),
    Scene(
        "bench-codes",
        "Codes for the scanner",
        "What is pressed can be scanned instead; printed and hung beside the bench.",
        f"{_HERE}/codes",
        sizes=SMALL,
        prints=True,
    ),
    Scene(
        "bench-store",
        "The store",
        "By whom each pack was released, until when it keeps, for which case it is kept, what is given out.",
        f"{_HERE}/store",
        who="technician",
        sizes=("tablet", "phone"),
        dark=True,
    ),
    Scene(
        "bench-loans",
        "Borrowed, lent, repaired",
        "What is not where it belongs, whose it is, until when; whatever comes in is soiled.",
        f"{_HERE}/loans",
        who="technician",
        sizes=LARGE,
    ),
    Scene(
        "bench-handover",
        "Handover",
        "What soaks, is due, held and under way is told by itself; a note beside it, and who took over.",
        f"{_HERE}/handover",
        who="technician",
        sizes=("tablet",),
    ),
    Scene(
        "bench-downtime",
        "Without screens",
        "Hours on paper are entered afterwards, line by line, in their true order and marked.",
        f"{_HERE}/downtime",
        who="technician",
        sizes=LARGE,
    ),
    Scene(
        "bench-exceptions",
        "Exceptions",
        "What was let out although something stood in its way, until somebody else looked at it.",
        f"{_HERE}/exceptions",
        sizes=LARGE,
    ),
)

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
        "bench-codes",
        "Codes for the scanner",
        "What is pressed can be scanned instead; printed and hung beside the bench.",
        f"{_HERE}/codes",
        sizes=SMALL,
        prints=True,
    ),
)

"""Where the pages of the bench live, and what its first page leads to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Option, Screen

screen = Screen("bench")

PLACE: Final = f"{DEPARTMENT}/bench"


@dataclass(frozen=True)
class Room:
    """A page of the bench: who may open it, where it is, what it is called."""

    right: str
    path: str
    words: str


#: In the order of the work.
ROOMS: Final[tuple[Room, ...]] = (
    Room("bench-read", "/bench/theatre", "Theatre"),
    Room("bench-read", "/bench/cases", "Cases"),
    Room("bench-read", "/bench/arrivals", "Arrivals"),
    Room("bench-read", "/bench/loads", "Loads"),
    Room("bench-read", "/bench/store", "Store"),
    Room("exception-make", "/bench/immediate-use", "Immediate use, by form"),
    Room("bench-read", "/bench/loans", "Borrowed, lent, repaired"),
    Room("bench-read", "/bench/handover", "Handover"),
    Room("bench-read", "/bench/downtime", "Without screens"),
    Room("bench-read", "/bench/exceptions", "Exceptions"),
    Room("deviation-report", "/deviations/new", "Report a deviation"),
    Room("recall-read", "/recalls", "Recalls"),
    Room("verification-read", "/verification", "Verification"),
    Room("bench-read", "/bench/copies", "Sets with a code"),
    Room("bench-read", "/bench/codes", "Codes for the scanner"),
)


def rooms(asked: Asked) -> tuple[Option, ...]:
    """The pages of the bench that whoever asks may open, with their addresses."""
    return tuple(Option(asked.at(one.path), one.words) for one in ROOMS if asked.visitor.may(one.right))

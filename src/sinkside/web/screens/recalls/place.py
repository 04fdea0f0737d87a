"""What the pages of recalls share: addresses, words, and a set as they show it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.bench.loans import Way
from sinkside.bench.recall import CauseKind, Fate, Touched, to_do
from sinkside.desk.recall.documents import Concerned, Recalled
from sinkside.desk.recall.recalling import counted
from sinkside.web.asked import Asked
from sinkside.web.evidence_links import evidence_of_run
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Screen

LIST: Final = f"{DEPARTMENT}/recalls"
NEW: Final = f"{LIST}/new"
ONE: Final = f"{LIST}/{{recall}}"
LONGEST: Final = 500

screen = Screen("recalls")

#: Where a set is, in words.
FATE_WORDS: Final[Mapping[Fate, str]] = {
    Fate.here: "in the house",
    Fate.issued: "issued, unopened as far as is known",
    Fate.away: "away: lent or in repair",
    Fate.used: "used",
    Fate.came_back: "came back since, on its next run",
}

#: What another house has to do with it, in words.
WAY_WORDS: Final[Mapping[Way, str]] = {
    Way.borrowed: "borrowed from there",
    Way.lent: "lent there",
    Way.repair: "sent there for repair",
}


@dataclass(frozen=True)
class SetReached:
    """A set that a recall reaches: where it is, what is to be done, the cases it was used in, what was done.

    `run` names it in the recall; `dealt` is empty while nobody did anything. `evidence` is where what is kept
    of that run is; empty for whoever may not read it.
    """

    run: str
    code: str
    name: str
    place: str
    fate: str
    to_do: str
    load: str
    at: str
    used_in: tuple[str, ...]
    dealt: str
    evidence: str


def reached(
    asked: Asked, kind: CauseKind, one: Touched | Recalled, *, now: Touched | None = None, dealt: str = ""
) -> SetReached:
    """A set as a page shows it; `now` is how it stands by now, where that was looked up."""
    standing = now or one
    return SetReached(
        run=one.run,
        code=one.code,
        name=one.name,
        place=standing.place,
        fate=FATE_WORDS[standing.fate],
        to_do=to_do(kind, standing.fate),
        load=one.load,
        at=shown_moment(one.at, asked.visitor.zone),
        used_in=(*one.earlier, *one.used_in),
        dealt=dealt,
        evidence=evidence_of_run(asked, one.run),
    )


def other_words(asked: Asked, one: Concerned) -> str:
    """What another house has to do with it, and when a thing went there."""
    when = f", {shown_moment(one.sent, asked.visitor.zone)}" if one.sent else ""
    return f"{one.what}, {one.code}: {WAY_WORDS[one.way]}{when}"


def window_words(asked: Asked, since: datetime | None, until: datetime, *, why: str) -> str:
    """From when until when a recall reaches; `why` says what its begin rests on."""
    zone = asked.visitor.zone
    begin = shown_moment(since, zone) if since else "the beginning"
    return f"from {begin}{f', {why},' if why else ''} until {shown_moment(until, zone)}"


def counts_words(loads: int, sets: int, cases: int) -> str:
    """How much a recall reaches, in words; what reaches sets by no load does not speak of loads."""
    in_loads = f"{counted(loads, 'load')}, " if loads or not sets else ""
    return f"{in_loads}{counted(sets, 'set')}, {counted(cases, 'case')}"

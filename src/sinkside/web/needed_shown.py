"""What must be there before a release, as the cycle's page and the page of its indicators show it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from sinkside.desk.indicators_before_release import NeededThing, State, still_missing

_WORDS: Final[dict[State, str]] = {
    "there": "There",
    "waiting": "Waiting",
    "late": "Late",
    "missing": "Missing",
    "bad": "Against release",
}
_FOLLOWS: Final = {
    "refuse": "Without it nobody can release the load.",
    "reason": "Without it a release takes a reason.",
    "told": "",
}


@dataclass(frozen=True)
class NeededShown:
    """One thing that must be there: how it stands in a word and a sentence, what follows, who asks for it."""

    name: str
    state: str
    words: str
    sentence: str
    follows: str
    source: str


@dataclass(frozen=True)
class BeforeRelease:
    """What must be there before a release, where it is recorded, and what nobody can release without."""

    needed: tuple[NeededShown, ...]
    address: str
    refused: str


def before_release_shown(things: Iterable[NeededThing], *, address: str) -> BeforeRelease:
    """The same for a cycle's page; `refused` is empty where all of that is there."""
    known = tuple(things)
    refused = ", ".join(one.name.lower() for one in still_missing(known, "refuse"))
    return BeforeRelease(needed_shown(known), address, refused)


def needed_shown(things: Iterable[NeededThing]) -> tuple[NeededShown, ...]:
    """Everything that must be there, as people read it."""
    return tuple(
        NeededShown(
            name=one.name,
            state=one.state,
            words=_WORDS[one.state],
            sentence=one.sentence,
            follows="" if one.is_there else _FOLLOWS[one.missing],
            source=one.source,
        )
        for one in things
    )

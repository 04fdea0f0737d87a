"""What the papers of a recall are made from."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from sinkside.aids.count_sheet import SheetSize
from sinkside.aids.papers.bilingual import Readers


class RecallPaper(StrEnum):
    """The papers of a recall."""

    pick_list = "pick-list"
    calls = "calls"
    cases = "cases"
    others = "others"


@dataclass(frozen=True)
class CalledBack:
    """A set that is called back: its name and code, where it is, when it was processed, its cases.

    `first` says that it may be opened next; `fetched` that it is to be looked for.
    """

    name: str
    code: str
    place: str
    processed: str
    first: bool = False
    fetched: bool = True
    cases: tuple[str, ...] = ()


@dataclass(frozen=True)
class OtherHouse:
    """A set that is with another house, or is theirs."""

    house: str
    name: str
    code: str


@dataclass(frozen=True)
class RecallRequest:
    """One paper of a recall.

    Attributes:
        paper: which.
        why: what it began with, as somebody wrote it.
        since: from when on, on the department's clock; empty where everything is in question.
        until: until when.
        sets: what it reaches.
        others: what other houses have or own.
        total: how many sets it reached in all, dealt with or not.
        cases: the numbers of the cases that something was used in, in the order in which they are told.
        department: whose it is.
        printed: the moment of printing, on the department's clock.
        live_url: where the living page is; empty without a server.
        is_prion: whether prions are suspected, where nothing is processed.
        size: of the paper.
        readers: who reads it.
    """

    paper: RecallPaper
    why: str
    since: str
    until: str
    sets: tuple[CalledBack, ...]
    others: tuple[OtherHouse, ...]
    total: int
    cases: tuple[str, ...]
    department: str
    printed: str
    live_url: str = ""
    is_prion: bool = False
    size: SheetSize = SheetSize.a4
    readers: Readers = field(default_factory=Readers)

"""What gathering a history gives, and how far back one page of it goes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.bench.history import Line
from sinkside.desk.access import Visitor
from sinkside.desk.ports import Unit
from sinkside.errors import BadInput
from sinkside.journal import Event
from sinkside.records import Wanted

#: So many entries of its own a page of a history begins with; what belongs to them comes beside.
PAGE: Final = 100
#: What belongs to one page beside them is bounded too.
BESIDE: Final = 2_000


@dataclass(frozen=True)
class Gathered:
    """One page of a history as it was gathered.

    Attributes:
        title: what the thing is called.
        about: what it is, in a line.
        gaps: what is not recorded.
        lines: what happened, in any order.
        before: asks for the next page, empty where there is none.
    """

    title: str
    about: str
    gaps: tuple[Line, ...]
    lines: tuple[Line, ...]
    before: str


@dataclass(frozen=True)
class Page:
    """Which page of a history is wanted, and the moment: `before` is what the page above gave."""

    before: str
    now: datetime

    @property
    def is_first(self) -> bool:
        """Whether it is the newest."""
        return not self.before

    @property
    def sequence(self) -> int | None:
        """Before which entry of the record book it begins; none for the newest page.

        Raises:
            BadInput: if the address was altered.
        """
        if not self.before:
            return None
        if not self.before.isdecimal() or not self.before.isascii() or len(self.before) > len(str(2**53)):
            raise BadInput("expected the number of an entry", resource="before")
        return int(self.before)

    @property
    def moment(self) -> datetime:
        """Before which moment it begins; now for the newest page.

        Raises:
            BadInput: if the address was altered.
        """
        if not self.before:
            return self.now
        try:
            found = datetime.fromisoformat(self.before)
        except ValueError as error:
            raise BadInput("expected a moment", resource="before") from error
        if found.tzinfo is None:
            raise BadInput("expected a moment with its zone", resource="before")
        return found


def own_entries(unit: Unit, who: Visitor, subject: str, page: Page) -> list[Event]:
    """The entries of a page that concern a thing itself, newest first."""
    wanted = Wanted(subject=subject, before=page.sequence, limit=PAGE)
    return unit.journal.events(who.department, wanted)


def next_page(entries: list[Event]) -> str:
    """What asks for the page below; empty where these were the last."""
    return str(entries[-1].sequence) if len(entries) == PAGE else ""

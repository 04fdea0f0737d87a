"""What is kept of papers: what one was made from, and where copies of it hang."""

from __future__ import annotations

from typing import Literal

from pydantic import AwareDatetime, Field

from sinkside.documents import Value

#: How a copy ends: another paper took its place, or it was taken away.
Ended = Literal["replaced", "removed"]


class PaperSource(Value):
    """A document that a paper rests on, in the revision that it was printed from."""

    noun: Literal["instruction", "set"]
    id: str
    revision: int
    digest: str


class PaperPrinted(Value):
    """A paper of this house (`sinkside/paper-1`): the same choice of the same revision is the same paper.

    Attributes:
        kind: which paper.
        title: what it is of.
        sources: what it rests on; the first is what it is of.
        languages: the reader's, and what stands beside.
        size: of the sheet.
        station: where it hangs, for those that are of one station.
        temperature: in which unit temperatures are read; empty for the maker's own.
        pressure: in which unit pressures are read; empty for the maker's own.
        layout: the digest of the tray's layout that it shows; empty for a paper that shows none.
        route: the digest of the route that it shows; empty for a paper that shows none.
    """

    format: Literal["sinkside/paper-1"] = "sinkside/paper-1"
    kind: str
    title: str
    sources: tuple[PaperSource, ...] = Field(min_length=1)
    languages: tuple[str, ...] = ("en",)
    size: str
    station: str = ""
    temperature: str = ""
    pressure: str = ""
    layout: str = ""
    route: str = ""

    @property
    def of(self) -> PaperSource:
        """What it is a paper of."""
        return self.sources[0]


class PaperPlace(Value):
    """Copies of a paper at one place (`sinkside/paper-place-1`).

    Attributes:
        paper: its code.
        place: where they hang, in words.
        copies: how many.
        by: who put them there.
        at: when.
        ended: how they ended; none while they hang.
        ended_by: who replaced or removed them.
        ended_at: when.
        why: why they were removed.
    """

    format: Literal["sinkside/paper-place-1"] = "sinkside/paper-place-1"
    paper: str
    place: str = Field(min_length=1)
    copies: int = Field(ge=1)
    by: str
    at: AwareDatetime
    ended: Ended | None = None
    ended_by: str = ""
    ended_at: AwareDatetime | None = None
    why: str = ""

"""What a count sheet is made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from sinkside.aids.papers.bilingual import Readers
from sinkside.findings import Finding
from sinkside.sets import Content, SetDocument, SetMass


class SheetSize(StrEnum):
    """Paper that offices have."""

    a4 = "a4"
    letter = "letter"

    @property
    def of_typst(self) -> str:
        """What the typesetter calls it."""
        return "us-letter" if self is SheetSize.letter else self.value


@dataclass(frozen=True)
class TrayMap:
    """The tray from above: the drawing, what it shows in words, and the letter of each thing.

    The drawing has no word for its front edge, which the sheet says below it in the reader's language.
    `letters` are by what the set calls the device and the part's name; empty for the device as one piece.
    """

    svg: str
    described: str
    letters: Mapping[tuple[str, str], str]


@dataclass(frozen=True)
class MadeFrom:
    """A text that the sheet rests on: device, the maker's document, its revision, the digest of the data."""

    device: str
    document: str
    revision: str
    digest: str = ""


@dataclass(frozen=True)
class CountSheetRequest:
    """One count sheet.

    Attributes:
        document: the set.
        contents: its lines.
        mass: what it weighs, and the limit in force.
        printed: the day of printing, ISO 8601.
        department: whose it is; empty where nobody said it.
        revision: of the set in the house; 0 for a set from a file.
        made_from: the texts of its devices.
        size: of the paper.
        tray_map: where each thing lies; none where nobody laid the tray out.
        inside: whether it is to lie in the pack; outside unless told.
        live_url: where the living page is; empty without a server.
        names: what instructions are called that the set knows by id.
        holders: what the department's things are called that devices lie in, by id.
        stops: what is open in the set or in the layout of its tray, and keeps the sheet off the floor.
        readers: who reads it; a proof prints in spite of stops, loudly marked.
    """

    document: SetDocument
    contents: tuple[Content, ...]
    mass: SetMass
    printed: str
    department: str = ""
    revision: int = 0
    made_from: tuple[MadeFrom, ...] = ()
    size: SheetSize = SheetSize.a4
    tray_map: TrayMap | None = None
    inside: bool = False
    live_url: str = ""
    names: Mapping[str, str] = field(default_factory=dict)
    holders: Mapping[str, str] = field(default_factory=dict)
    stops: tuple[Finding, ...] = ()
    readers: Readers = field(default_factory=Readers)

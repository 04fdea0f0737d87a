"""What an evidence file is made from: words and figures in their order, ready to be set."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sinkside.aids.count_sheet import SheetSize


@dataclass(frozen=True)
class EvidenceTable:
    """One table.

    Attributes:
        heading: above it; empty for none.
        columns: the heads.
        rows: as many cells as there are columns; a row of one cell is a heading among them.
        widths: how wide each column is beside the others; alike unless told.
        empty: what is said where there are no rows.
    """

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...] = ()
    empty: str = ""


@dataclass(frozen=True)
class EvidencePicture:
    """A drawing, what it shows in words for those who hear it, and what stands below it."""

    svg: str
    alt: str
    caption: str = ""


@dataclass(frozen=True)
class LineStop:
    """A stop of a route line: where, the figures that matter there, and what is marked at it."""

    label: str
    figures: tuple[str, ...] = ()
    level: Literal["", "concern", "stop"] = ""
    mark: str = ""


@dataclass(frozen=True)
class EvidenceLine:
    """The route line of one text: its heading, its stops, and all of it in a sentence."""

    heading: str
    stops: tuple[LineStop, ...]
    alt: str


@dataclass(frozen=True)
class EvidenceSaid:
    """Sentences; loud ones stand large behind a bar."""

    sentences: tuple[str, ...]
    loud: bool = False


EvidenceBlock = EvidenceTable | EvidencePicture | EvidenceLine | EvidenceSaid


@dataclass(frozen=True)
class EvidenceSection:
    """One chapter: heading and what stands in it; `apart` begins a sheet of its own."""

    heading: str
    blocks: tuple[EvidenceBlock, ...]
    apart: bool = False


@dataclass(frozen=True)
class EvidenceRequest:
    """One evidence file.

    Attributes:
        title: of what.
        about: lines below the title.
        gaps: what is not recorded: about what, and a sentence.
        warned: what is to be known before anything else, such as a recall.
        short: what it comes to: what, how it was, and the figures or names behind that.
        changed: what is otherwise than in the file before this one; empty where there was none.
        changed_since: that file, in words.
        sections: everything.
        head: the head of the chain, as printed.
        made: when, by whom.
        live_url: where the living page is; empty without a server.
        code: what the code says without one.
        size: of the paper.
    """

    title: str
    about: tuple[str, ...]
    gaps: tuple[tuple[str, str], ...]
    short: tuple[tuple[str, str, str], ...]
    sections: tuple[EvidenceSection, ...]
    head: str
    made: str
    code: str
    warned: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    changed_since: str = ""
    live_url: str = ""
    size: SheetSize = SheetSize.a4

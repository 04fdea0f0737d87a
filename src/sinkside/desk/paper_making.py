"""Papers of an instruction in the house, each with the code that leads back to its live page."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.aids.papers import NAMES, SIZES, Approval, Kind, PaperRequest, Size, paper_pdf
from sinkside.aids.papers.request import NoteBeside
from sinkside.desk import approving, shelf
from sinkside.desk.access import Visitor
from sinkside.desk.departments import department_in
from sinkside.desk.keeping import from_revision
from sinkside.desk.lesson_note_documents import notes_of
from sinkside.desk.paper_codes import code_of
from sinkside.desk.paper_documents import PaperPrinted, PaperSource
from sinkside.desk.paper_standing import route_digest
from sinkside.desk.people import name_of
from sinkside.desk.ports import Unit
from sinkside.desk.reading_habits import habits_here
from sinkside.desk.shelf import OpenInstruction
from sinkside.desk.translations import reviewed_templates
from sinkside.errors import BadInput, NotForTheFloor
from sinkside.language.catalogue import REFERENCE_LANGUAGE
from sinkside.plain import LANGUAGES, Glossary, Units
from sinkside.plain.names import calm_name
from sinkside.route import Route, Station, resolve

#: Papers that are of one station.
OF_A_STATION: Final = frozenset({Kind.card})


@dataclass(frozen=True)
class PaperChoice:
    """Which paper somebody wants: kind, language, size (the kind's first unless said), station, units."""

    kind: Kind = Kind.poster
    language: str = REFERENCE_LANGUAGE
    size: Size | None = None
    station: Station | None = None
    units: Units = field(default_factory=Units)

    @property
    def paper_size(self) -> Size:
        """The size of the sheet."""
        return self.size or SIZES[self.kind][0]

    @property
    def name(self) -> str:
        """What the paper is called."""
        return f"{NAMES[self.kind]}, {self.station}" if self.station else NAMES[self.kind]


@dataclass(frozen=True)
class MadePaper:
    """A paper as PDF: what it is, by which code it is known, under which name it is saved."""

    paper: PaperPrinted
    code: str
    pdf: bytes
    file_name: str


@dataclass(frozen=True)
class Ground:
    """What papers of an instruction are made from: the revision, its route here, and who approved it."""

    shown: OpenInstruction
    route: Route | None
    approval: Approval | None
    glossary: Glossary = field(default_factory=Glossary)
    reviewed: frozenset[str] = frozenset()
    notes: tuple[NoteBeside, ...] = ()

    @property
    def stations(self) -> tuple[Station, ...]:
        """Where the route has work, in its order."""
        return tuple(dict.fromkeys(one.station for one in self.route.operations)) if self.route else ()

    @property
    def device(self) -> str:
        """What the device is called."""
        return calm_name(self.shown.instruction.device.name)


def ground_of(unit: Unit, who: Visitor, instruction: str) -> Ground:
    """What papers of an instruction are made from: its approved revision, or the latest where none is.

    Raises:
        NotThere: if there is none here.
    """
    row = shelf.row_of(unit, who, instruction)
    return ground_in(unit, who, shelf.opened(unit, row, int(row.fields.get("approved") or 0) or None))


def ground_in(unit: Unit, who: Visitor, shown: OpenInstruction) -> Ground:
    """What papers of one revision are made from."""
    site = department_in(unit, who.department)
    route = resolve(shown.instruction, site) if site else None
    glossary = habits_here(unit, who.department).glossary
    reviewed = frozenset().union(*(reviewed_templates(unit, language) for language in LANGUAGES))
    seen = notes_of(unit, shown.row.id, shown.instruction, shown.revision.number)
    notes = tuple(
        NoteBeside(step, one.note.text, one.to_look_at) for step, one in seen.by_step.items() if one.note.text
    )
    return Ground(shown, route, approval_of(unit, shown, who), glossary, reviewed, notes)


def approval_of(unit: Unit, shown: OpenInstruction, who: Visitor) -> Approval | None:
    """Who approved a revision, and on which day; none where nobody did."""
    for kept in reversed(unit.documents.revisions(approving.APPROVAL, shown.row.id)):
        approval = from_revision(kept, approving.Approval)
        if approval.revision == shown.revision.number:
            day = approval.at.astimezone(ZoneInfo(who.zone)).date().isoformat()
            return Approval(by=name_of(unit, approval.by), on=day)
    return None


def described(ground: Ground, choice: PaperChoice) -> PaperPrinted:
    """What a paper is, by which its code is told.

    Raises:
        BadInput: if it comes on no such size, or is of a station and none is named.
    """
    if choice.paper_size not in SIZES[choice.kind]:
        known = ", ".join(SIZES[choice.kind])
        raise BadInput(
            f"'{choice.paper_size}' is no size of this paper; expected one of {known}", resource="size"
        )
    if choice.kind in OF_A_STATION and choice.station not in ground.stations:
        known = ", ".join(ground.stations) or "none, as there is no route"
        raise BadInput(
            f"'{choice.station or ''}' has no work here; expected one of {known}", resource="station"
        )
    revision = ground.shown.revision
    of = PaperSource(
        noun="instruction", id=ground.shown.row.id, revision=revision.number, digest=revision.digest
    )
    return PaperPrinted(
        kind=choice.kind,
        title=ground.device,
        sources=(of,),
        languages=(choice.language,),
        size=choice.paper_size,
        station=choice.station or "",
        temperature=choice.units.temperature,
        pressure=choice.units.pressure,
        route=route_digest(ground.route) if ground.route else "",
    )


def request_of(
    who: Visitor, ground: Ground, choice: PaperChoice, *, now: datetime, live_url: str, proof: bool
) -> PaperRequest:
    """Everything that stands on a paper; findings that were answered no longer stand against it."""
    return PaperRequest(
        instruction=ground.shown.instruction,
        printed=now.astimezone(ZoneInfo(who.zone)).date().isoformat(),
        kind=choice.kind,
        route=ground.route,
        findings=tuple(one.finding for one in ground.shown.findings if one.is_open),
        digest=ground.shown.revision.digest,
        live_url=live_url or None,
        approval=ground.approval,
        proof=proof,
        languages=(choice.language,),
        units=choice.units,
        glossary=ground.glossary,
        reviewed=ground.reviewed,
        size=choice.paper_size,
        station=choice.station,
        notes=ground.notes if choice.kind is Kind.lesson else (),
    )


@dataclass(frozen=True)
class ReadyPaper:
    """A paper that is ready to be set: what it is, its code, and everything that stands on it."""

    paper: PaperPrinted
    code: str
    request: PaperRequest


def ready_paper(
    who: Visitor, ground: Ground, choice: PaperChoice, *, now: datetime, papers_url: str, proof: bool = False
) -> ReadyPaper:
    """A paper with the code that leads to its live page; a proof leads nowhere, for it hangs nowhere.

    Args:
        who: for whom.
        ground: what it is made from.
        choice: which paper.
        now: the moment.
        papers_url: where papers are looked up.
        proof: whether to print it, marked, although something forbids the floor copy.

    Raises:
        BadInput: if it comes on no such size, or is of a station and none is named.
        NotForTheFloor: while nobody approved the text, unless it is a proof.
    """
    paper = described(ground, choice)
    code = code_of(who.department, paper)
    if ground.approval is None and not proof:
        number = ground.shown.revision.number
        raise NotForTheFloor(
            f"nobody has approved revision {number}; have it approved, or see a proof", resource=ground.device
        )
    live_url = "" if proof else f"{papers_url}/{code}"
    return ReadyPaper(paper, code, request_of(who, ground, choice, now=now, live_url=live_url, proof=proof))


def made_paper(ready: ReadyPaper) -> MadePaper:
    """A paper as PDF.

    Raises:
        NotForTheFloor: while a stop is open, there is no route, or nobody reviewed its words, unless it is a
            proof.
    """
    name = file_name(ready.paper, proof=ready.request.proof)
    return MadePaper(ready.paper, ready.code, paper_pdf(ready.request), name)


def choice_of(paper: PaperPrinted) -> PaperChoice:
    """The choice that a paper was made by, to make it again from what is in force now.

    Raises:
        BadInput: if this version knows no such paper.
    """
    try:
        station = Station(paper.station) if paper.station else None
        units = Units.model_validate({"temperature": paper.temperature, "pressure": paper.pressure})
        return PaperChoice(Kind(paper.kind), paper.languages[0], Size(paper.size), station, units)
    except ValueError as error:
        raise BadInput("this version makes no such paper", resource=paper.kind) from error


def all_choices(
    ground: Ground, kinds: Sequence[Kind], languages: Sequence[str], *, size: Size | None = None
) -> tuple[PaperChoice, ...]:
    """Every paper of some kinds in some languages; cards of one station for each that has work."""
    return tuple(
        PaperChoice(kind, language, size if size in SIZES[kind] else None, station)
        for kind in kinds
        for language in languages
        for station in (ground.stations if kind in OF_A_STATION else (None,))
    )


def file_name(paper: PaperPrinted, *, proof: bool = False) -> str:
    """Under which name a paper is saved."""
    said = [paper.title, paper.kind, paper.station, *paper.languages, str(paper.of.revision)]
    words = " ".join([*said, "proof" if proof else ""]).lower()
    return "-".join(re.findall(r"[a-z0-9]+", words)) + ".pdf"

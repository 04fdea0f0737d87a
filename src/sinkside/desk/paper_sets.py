"""Papers of the house's sets: the count sheet with its code, labels, and the paper pack of the department."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sinkside.aids.count_sheet import CountSheetRequest, MadeFrom, SheetSize, count_sheet_pdf
from sinkside.aids.downtime import DowntimeRequest, downtime_pdf
from sinkside.aids.labels import LabelRequest, LabelSize, labels_pdf
from sinkside.aids.papers.bilingual import Readers
from sinkside.desk import sets
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import KIND as DEPARTMENT
from sinkside.desk.departments import department_in
from sinkside.desk.keeping import from_revision
from sinkside.desk.paper_codes import code_of
from sinkside.desk.paper_documents import PaperPrinted, PaperSource
from sinkside.desk.paper_files import Packed, holders_named, made_from, set_label, stops_among, tray_map_of
from sinkside.desk.paper_making import MadePaper, file_name
from sinkside.desk.paper_numbers import SaidNumber, numbered
from sinkside.desk.paper_readers import ReadIn, readers_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.set_answers import SetAnswer, answer_of
from sinkside.desk.set_layout import layout_of
from sinkside.desk.set_texts import TextFound, standing_findings, substitutes_of, texts_of
from sinkside.desk.sets import OpenSet
from sinkside.errors import NotThere
from sinkside.findings import Finding
from sinkside.records import Revision
from sinkside.sets.layout import Layout

#: What a count sheet is called among papers.
COUNT_SHEET = "count-sheet"


@dataclass(frozen=True)
class SetGround:
    """What papers of a set are made from: its latest revision, what comes of it here, its devices' texts.

    `layout` is the tray's, where it was laid out for this revision; `stops` are open in the set or there.
    """

    opened: OpenSet
    answer: SetAnswer
    texts: dict[str, TextFound]
    names: dict[str, str]
    layout: Revision | None
    stops: tuple[Finding, ...]


def set_ground(unit: Unit, who: Visitor, key: str) -> SetGround:
    """What papers of a set are made from.

    Raises:
        NotThere: if there is none here.
    """
    opened = sets.set_in(unit, who, key)
    texts = texts_of(unit, who, opened.document)
    substitutes = substitutes_of(unit, who, opened.document)
    answer = answer_of(unit, who.department, opened.revision, texts, substitutes)
    found = [*texts.values(), *substitutes.values()]
    names = {one.row.id: one.row.title for one in found if one.row is not None}
    laid = layout_of(unit, key, opened.revision.number)
    # What is overdue is a concern, never a stop: the moment makes no difference here.
    standing = standing_findings(opened.document, texts, substitutes, now=opened.revision.at)
    stops = stops_among(
        (*standing, *answer.of_the_route, *answer.findings), from_revision(laid, Layout) if laid else None
    )
    return SetGround(opened, answer, texts, names, laid, stops)


def name_of(archive: Archive, who: Visitor, key: str) -> str:
    """What a set is called.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, sets.READ)
    with archive.unit(writes=False) as unit:
        return sets.set_in(unit, who, key).document.name


def count_sheet(
    who: Visitor, ground: SetGround, readers: Readers, *, size: SheetSize, now: datetime, papers_url: str
) -> MadePaper:
    """The count sheet of a set, with the code that leads to its live page; a proof's leads nowhere.

    Raises:
        NotForTheFloor: if a sign cannot be shown, or, unless it is a proof, a stop is open in the set or its
            tray, or nobody reviewed its words.
    """
    opened, answer, laid = ground.opened, ground.answer, ground.layout
    digest = laid.digest if laid else ""
    paper = PaperPrinted(
        kind=COUNT_SHEET,
        title=opened.document.name,
        sources=tuple(_sources(ground)),
        languages=readers.languages,
        size=size,
        layout=digest,
    )
    code = code_of(who.department, paper)
    request = CountSheetRequest(
        document=opened.document,
        contents=answer.contents,
        mass=answer.mass,
        printed=_today(who, now).isoformat(),
        department=answer.site.name if answer.site else "",
        revision=opened.revision.number,
        made_from=tuple(_made_from(ground)),
        size=size,
        tray_map=tray_map_of(from_revision(laid, Layout)) if laid else None,
        live_url="" if readers.proof else f"{papers_url}/{code}",
        stops=ground.stops,
        names=ground.names,
        holders=holders_named(answer.site),
        readers=readers,
    )
    return MadePaper(paper, code, count_sheet_pdf(request), file_name(paper, proof=readers.proof))


def set_labels(
    archive: Archive,
    who: Visitor,
    key: str,
    said: SaidNumber,
    *,
    size: LabelSize,
    copies: int = 1,
    read_in: ReadIn | None = None,
    now: datetime,
) -> bytes:
    """Labels of a set of the house.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        BadInput: if the number is none, its code does not fit the size, the last day of use is past, or plain
            words are not written in the language.
        NotForTheFloor: if the words do not fit the size, or, unless it is a proof, nobody reviewed them.
    """
    require(who, sets.READ)
    with archive.unit(writes=False) as unit:
        ground = set_ground(unit, who, key)
        readers = readers_in(unit, who, read_in or ReadIn())
    label = set_label(
        ground.opened.document, ground.answer, said, packed=Packed(), printed_on=_today(who, now)
    )
    return labels_pdf(LabelRequest(label, numbered(said), size, copies, readers))


def downtime_pack(
    archive: Archive,
    who: Visitor,
    *,
    size: SheetSize,
    sheets: int,
    read_in: ReadIn | None = None,
    now: datetime,
) -> bytes:
    """The paper pack of this department as it stands.

    Raises:
        NotAllowed: without the right.
        NotThere: if nobody said what the department has.
        BadInput: if there are to be no sheets, or more than anybody needs, or plain words are not written in
            the language.
        NotForTheFloor: unless it is a proof, while nobody reviewed its words.
    """
    require(who, "department-read")
    with archive.unit(writes=False) as unit:
        site = department_in(unit, who.department)
        kept = unit.documents.get(DEPARTMENT, who.department)
        readers = readers_in(unit, who, read_in or ReadIn())
    if site is None or kept is None:
        raise NotThere("nobody has said yet what this department has", resource=who.department)
    printed = _today(who, now).isoformat()
    return downtime_pdf(DowntimeRequest(site, printed, size, sheets, kept.number, readers))


def _sources(ground: SetGround) -> list[PaperSource]:
    """The set first, then its devices' texts: a change of any of them makes the sheet an old one."""
    revision = ground.opened.revision
    first = PaperSource(noun="set", id=ground.opened.row.id, revision=revision.number, digest=revision.digest)
    known = {one.revision.subject: one.revision for one in ground.texts.values() if one.revision is not None}
    texts = [
        PaperSource(noun="instruction", id=one.subject, revision=one.number, digest=one.digest)
        for one in known.values()
    ]
    return [first, *texts]


def _made_from(ground: SetGround) -> list[MadeFrom]:
    found = {one.revision.digest: one for one in ground.texts.values() if one.revision is not None}
    return [
        made_from(one.instruction, digest) for digest, one in found.items() if one.instruction is not None
    ]


def _today(who: Visitor, now: datetime) -> date:
    """The day where the person works."""
    return now.astimezone(ZoneInfo(who.zone)).date()

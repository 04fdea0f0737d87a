"""All papers of a set, or of a change, as one PDF: long work, done as a job with progress."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Final

from sinkside.aids.papers import Kind, PaperRequest, Size, paper_pdf
from sinkside.desk import sets
from sinkside.desk.access import Visitor, record, require, visitor_in
from sinkside.desk.jobs import PAPERS_JOB, Beat, Clock, Outcome
from sinkside.desk.paper_documents import PaperPrinted
from sinkside.desk.paper_making import (
    ReadyPaper,
    all_choices,
    choice_of,
    ground_of,
    ready_paper,
)
from sinkside.desk.paper_pictures import one_pdf
from sinkside.desk.paper_register import READ, hanging_in, register_printed
from sinkside.desk.parsing_child import Stopped
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.set_texts import texts_of
from sinkside.desk.shelf import row_of
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, NotThere, SinksideError
from sinkside.parallel import Processes, ThisProcess, Workers
from sinkside.records import Job

_SETTING: Final = "Setting papers"
_MEDIA: Final = "application/pdf"

#: Fewer papers are set sooner than another process wakes up.
_WORTH_A_PROCESS: Final = 24
_MOST_PROCESSES: Final = 2
_A_SHARE: Final = 4
_MOST_PAPERS: Final = 1_000

#: What came of one paper: its PDF, or the sentence why there is none.
Came = bytes | str


@dataclass(frozen=True)
class PackWanted:
    """Which papers: of all devices of a set, or the current ones for what hangs outdated of one instruction.

    Attributes:
        of: `set` or `change`.
        id: of the set, or of the instruction that changed.
        papers_url: where papers are looked up, for the codes.
        kinds: which papers of each device of a set.
        languages: in which languages.
        size: on which size, for those papers that come on it.
    """

    of: str
    id: str
    papers_url: str
    kinds: tuple[Kind, ...] = ()
    languages: tuple[str, ...] = ("en",)
    size: Size | None = None


@dataclass(frozen=True)
class OpenPack:
    """What came of a pack: the PDF, what is in it, and what was refused, one sentence each."""

    pdf: bytes
    held: tuple[str, ...]
    refused: tuple[str, ...]


def ask_for_pack(archive: Archive, who: Visitor, wanted: PackWanted, *, now: datetime) -> str:
    """Ask for a pack; the id of the job.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such set or instruction here.
        BadInput: if no paper or no language is wanted.
    """
    require(who, READ)
    if wanted.of == "set" and not (wanted.kinds and wanted.languages):
        raise BadInput("expected one paper and one language, or more", resource="kinds")
    with archive.unit() as unit:
        if wanted.of == "set":
            require(who, sets.READ)
            title = sets.set_in(unit, who, wanted.id).document.name
        else:
            title = row_of(unit, who, wanted.id).title
        arguments = {
            "of": wanted.of,
            "id": wanted.id,
            "file_name": title,
            "papers_url": wanted.papers_url,
            "kinds": " ".join(wanted.kinds),
            "languages": " ".join(wanted.languages),
            "size": wanted.size or "",
        }
        job = Job(new_id("j"), PAPERS_JOB, who.department, who.person, arguments, "waiting", now)
        unit.jobs.ask(job)
        return job.id


def open_pack(archive: Archive, who: Visitor, job: str) -> OpenPack:
    """What came of a pack.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such pack here, or it is not done.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        known = unit.jobs.get(job)
        if known is None or known.department != who.department or "papers" not in known.result:
            raise NotThere("there is no such pack here", resource=job)
        held, refused = (tuple(known.result[name].splitlines()) for name in ("held", "refused"))
        return OpenPack(unit.files.read(known.result["papers"]), held, refused)


@dataclass(frozen=True)
class PrintPapers:
    """The work behind a pack."""

    def work(self, archive: Archive, job: Job, *, beat: Beat, clock: Clock) -> Outcome:
        """Set every paper, and join them; what must not be printed is told and left out.

        Raises:
            Stopped: if the job was cancelled.
            BadInput: if none of the papers can be printed.
        """
        now = clock()
        with archive.unit(writes=False) as unit:
            who = visitor_in(unit, job.by, job.department, now)
            ready, refused = _gathered(unit, who, _wanted(job), now)
        came: list[Came] = []
        for share in _workers(len(ready)).each(_set, _shares([one.request for one in ready])):
            came += share
            if not beat(len(came), len(ready), _SETTING):
                raise Stopped("the papers were to be left")
        pairs = list(zip(ready, came, strict=True))
        done = [(one, pdf) for one, pdf in pairs if isinstance(pdf, bytes)]
        refused += [f"{_name(one.paper)}: {said}" for one, said in pairs if isinstance(said, str)]
        if not done:
            raise BadInput("; ".join(dict.fromkeys(refused)) or "no paper is to be printed")
        pdf = one_pdf([pdf for _, pdf in done])
        result = {
            "papers": hashlib.sha256(pdf).hexdigest(),
            "held": "\n".join(_name(one.paper) for one, _ in done),
            "refused": "\n".join(dict.fromkeys(refused)),
        }
        printed = [one.paper for one, _ in done]
        return Outcome(result, partial(_keep, who=who, pdf=pdf, printed=printed, job=job, now=now))

    def undone(self, unit: Unit, job: Job, *, sentence: str, now: datetime) -> None:
        """Nothing is written of a pack that was not made; the job says why."""


def _wanted(job: Job) -> PackWanted:
    said = job.arguments
    return PackWanted(
        of=said["of"],
        id=said["id"],
        papers_url=said["papers_url"],
        kinds=tuple(Kind(one) for one in said["kinds"].split()),
        languages=tuple(said["languages"].split()),
        size=Size(said["size"]) if said["size"] else None,
    )


def _gathered(
    unit: Unit, who: Visitor, wanted: PackWanted, now: datetime
) -> tuple[list[ReadyPaper], list[str]]:
    """The papers that are ready to be set, and why others are not."""
    ready: list[ReadyPaper] = []
    refused: list[str] = []
    asked = _of_a_set if wanted.of == "set" else _of_a_change
    for made in asked(unit, who, wanted, now):
        if isinstance(made, str):
            refused.append(made)
        else:
            ready.append(made)
    if len(ready) > _MOST_PAPERS:
        raise BadInput(f"these are {len(ready)} papers; expected {_MOST_PAPERS} at most", resource="kinds")
    return ready, refused


def _of_a_set(unit: Unit, who: Visitor, wanted: PackWanted, now: datetime) -> Iterator[ReadyPaper | str]:
    document = sets.set_in(unit, who, wanted.id).document
    seen: set[str] = set()
    for called, text in texts_of(unit, who, document).items():
        if text.row is None:
            yield f"{called}: no one text of it is known here"
        elif text.row.id not in seen:
            seen.add(text.row.id)
            ground = ground_of(unit, who, text.row.id)
            for choice in all_choices(ground, wanted.kinds, wanted.languages, size=wanted.size):
                try:
                    yield ready_paper(who, ground, choice, now=now, papers_url=wanted.papers_url)
                except SinksideError as error:
                    yield str(error)


def _of_a_change(unit: Unit, who: Visitor, wanted: PackWanted, now: datetime) -> Iterator[ReadyPaper | str]:
    """The current papers for whatever hangs outdated of an instruction, each once."""
    ground = ground_of(unit, who, wanted.id)
    outdated = [
        one.known.paper
        for one in hanging_in(unit, who)
        if one.known.paper.of.id == wanted.id and not one.known.standing.is_current
    ]
    for choice in dict.fromkeys(choice_of(paper) for paper in outdated):
        try:
            yield ready_paper(who, ground, choice, now=now, papers_url=wanted.papers_url)
        except SinksideError as error:
            yield str(error)


def _shares(requests: Sequence[PaperRequest]) -> Iterator[Sequence[PaperRequest]]:
    return (requests[start : start + _A_SHARE] for start in range(0, len(requests), _A_SHARE))


def _workers(papers: int) -> Workers[PaperRequest, Came]:
    count = min(_MOST_PROCESSES, os.cpu_count() or 1)
    if papers < _WORTH_A_PROCESS or count == 1:
        return ThisProcess()
    return Processes(count, _lost)


def _set(requests: Sequence[PaperRequest]) -> list[Came]:
    """Each paper as PDF, or the sentence why it cannot be."""
    came: list[Came] = []
    for request in requests:
        try:
            came.append(paper_pdf(request))
        except SinksideError as error:
            came.append(error.message)
    return came


def _lost(_request: PaperRequest) -> Came:
    return "setting it brought the program down; print it alone"


def _name(paper: PaperPrinted) -> str:
    return ", ".join(filter(None, (paper.title, paper.kind, paper.station, paper.size, *paper.languages)))


def _keep(
    unit: Unit, *, who: Visitor, pdf: bytes, printed: Sequence[PaperPrinted], job: Job, now: datetime
) -> None:
    unit.files.put(pdf, media_type=_MEDIA, name=f"{job.arguments['file_name']}.pdf")
    for paper in printed:
        register_printed(unit, who, paper, now=now)
    data = {"papers": len(printed), "of": job.arguments["file_name"]}
    record(unit, who, "papers-packed", f"job:{job.id}", now=now, data=data)

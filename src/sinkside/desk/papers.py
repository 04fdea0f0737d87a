"""Papers: the plain words of a route, its poster, and the report."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import TypeVar

from sinkside import documents
from sinkside.aids.figures import shown_figures
from sinkside.aids.papers import Kind, PaperRequest, Size, paper_pdf, sheets, specimen_pdf
from sinkside.aids.reading_words import read_words
from sinkside.aids.report import CycleReport, DeviceReport, ReportInput, report_html
from sinkside.aids.words import plain_words
from sinkside.cycles import Unread, Verdict
from sinkside.department import Department
from sinkside.desk.cycles import JudgedCycle
from sinkside.errors import BadInput
from sinkside.findings import Finding, Level
from sinkside.instruction import Instruction
from sinkside.plain.habits import refuse_unknown
from sinkside.plain.names import calm_name
from sinkside.plain.operations import shown_operations, station_label
from sinkside.review import review
from sinkside.route import Route, Station, resolve

__all__ = [
    "DeviceFile",
    "PlainOperation",
    "WantedPaper",
    "device_file",
    "in_plain_words",
    "paper",
    "print_paper",
    "print_specimen",
    "read_words",
    "write_report",
]


_Word = TypeVar("_Word", bound=StrEnum)


@dataclass(frozen=True)
class PlainOperation:
    """One thing to do, in plain words: its letter, where, what, the figures, and what belongs to it."""

    letter: str
    station: str
    sentence: str
    figures: str
    details: str
    why: str
    page: int
    line: int


def in_plain_words(instruction: Instruction, route: Route | None = None) -> tuple[PlainOperation, ...]:
    """What is done, in order: the route's operations, or without one the steps of the text."""
    told = []
    for operation in shown_operations(route, instruction):
        words = plain_words(operation, instruction)
        told.append(
            PlainOperation(
                letter=operation.letter,
                station=station_label(operation.station),
                sentence=words.headline,
                figures=", ".join(figure.text for figure in shown_figures(operation)),
                details=", ".join(words.details),
                why=operation.why,
                page=operation.origin.page,
                line=operation.origin.line,
            )
        )
    return tuple(told)


@dataclass(frozen=True)
class DeviceFile:
    """One device with everything that is known of it: its text, what is wrong with it, its route."""

    instruction: Instruction
    findings: tuple[Finding, ...] = ()
    route: Route | None = None

    @property
    def name(self) -> str:
        """The device's name in normal case, as papers show it."""
        return calm_name(self.instruction.device.name)

    @property
    def review_stops(self) -> tuple[Finding, ...]:
        """What the review found that keeps the text off the floor anywhere."""
        return tuple(finding for finding in self.findings if finding.level is Level.stop)

    @property
    def fit_for_the_floor(self) -> bool:
        """Whether a poster may print without the mark of a proof."""
        return not self.review_stops and self.route is not None and self.route.resolved


def device_file(instruction: Instruction, department: Department | None, *, profile: str = "") -> DeviceFile:
    """A device with its review and, where there is a department, its route there.

    Args:
        instruction: the maker's text.
        department: what the site has; its profile and altitude are in force.
        profile: limits to be in force instead of the department's.

    Raises:
        BadInput: if the profile is unknown.
    """
    findings = review(
        instruction,
        profile=profile or (department.profile if department else "eu"),
        altitude_m=department.altitude.to("m") if department else 0.0,
    )
    return DeviceFile(instruction, findings, resolve(instruction, department) if department else None)


@dataclass(frozen=True)
class WantedPaper:
    """Which paper of a device is wanted, and for whom.

    Attributes:
        kind: which paper.
        languages: the reader's, and the one beside it.
        size: of the sheet; the paper's first size unless told.
        station: where a card hangs.
        proof: whether it prints in spite of what is open, loudly marked.
    """

    kind: str = "poster"
    languages: tuple[str, ...] = ("en",)
    size: str = ""
    station: str = ""
    proof: bool = False


def paper(device: DeviceFile, wanted: WantedPaper, *, printed_on: date) -> bytes:
    """A paper of a device, as PDF.

    Raises:
        NotForTheFloor: while a stop is open, there is no route or words are unreviewed, but for a proof.
        BadInput: if there is no such paper, language, size or station.
    """
    for language in wanted.languages:
        refuse_unknown(language)
    return paper_pdf(
        PaperRequest(
            instruction=device.instruction,
            printed=printed_on.isoformat(),
            kind=_one_of(Kind, wanted.kind, "paper"),
            route=device.route,
            findings=device.findings,
            languages=wanted.languages,
            size=_one_of(Size, wanted.size, "size") if wanted.size else None,
            station=_one_of(Station, wanted.station, "station") if wanted.station else None,
            proof=wanted.proof,
        )
    )


def print_paper(device: DeviceFile, wanted: WantedPaper, *, out: Path, printed_on: date) -> int:
    """Print a paper of a device, and say on how many sheets.

    Raises:
        NotForTheFloor: while a stop is open, there is no route or words are unreviewed, but for a proof.
        BadInput: if there is no such paper, language, size or station.
        UnreadableFile: if it cannot be written.
    """
    pdf = paper(device, wanted, printed_on=printed_on)
    documents.write_bytes(out, pdf)
    return sheets(pdf)


def print_specimen(*, out: Path) -> int:
    """Print every pictogram with its word, and say on how many sheets.

    Raises:
        UnreadableFile: if it cannot be written.
    """
    pdf = specimen_pdf()
    documents.write_bytes(out, pdf)
    return sheets(pdf)


def _one_of(words: type[_Word], given: str, what: str) -> _Word:
    try:
        return words(given)
    except ValueError:
        known = ", ".join(words)
        raise BadInput(f"'{given}' is no {what}; expected one of {known}", resource=what) from None


def write_report(
    devices: list[DeviceFile],
    cycles: list[JudgedCycle],
    *,
    out: Path,
    made_on: date,
    department: Department | None = None,
    profile: str = "eu",
) -> None:
    """Write one self-contained page: findings, routes and cycle verdicts.

    Raises:
        UnreadableFile: if it cannot be written.
    """
    names = [device.instruction.device.name for device in devices]
    report = ReportInput(
        title=names[0] if len(names) == 1 else (department.name if department else "Sinkside report"),
        printed=made_on.isoformat(),
        department=department.name if department else "",
        profile=profile,
        devices=tuple(DeviceReport(one.instruction, one.findings, one.route) for one in devices),
        cycles=tuple(
            CycleReport(cycle.answer, cycle.trace, cycle.program)
            for cycle in cycles
            if cycle.trace is not None and isinstance(cycle.answer, Verdict)
        ),
        unread=tuple(cycle.answer for cycle in cycles if isinstance(cycle.answer, Unread)),
    )
    documents.write_text(out, report_html(report))

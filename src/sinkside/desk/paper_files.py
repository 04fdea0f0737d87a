"""Papers of a set from files: its count sheet, its labels, and the labels of a load."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sinkside import documents
from sinkside.aids.count_sheet import CountSheetRequest, MadeFrom, SheetSize, TrayMap, count_sheet_pdf
from sinkside.aids.downtime import DowntimeRequest, downtime_pdf
from sinkside.aids.labels import LabelRequest, LabelSize, LoadLabel, SetLabel, labels_pdf
from sinkside.aids.papers.bilingual import Readers
from sinkside.department import Department
from sinkside.desk.paper_numbers import SaidNumber, numbered
from sinkside.desk.set_answers import SetAnswer
from sinkside.desk.set_checking import CheckedSet
from sinkside.errors import BadInput
from sinkside.findings import Finding, Level
from sinkside.instruction import Instruction
from sinkside.sets import SetDocument
from sinkside.sets.layout import Layout, tray_map_svg
from sinkside.sets.layout.drawing import described as described_layout

__all__ = [
    "LabelSize",
    "LoadLabel",
    "Packed",
    "Readers",
    "SheetSize",
    "count_sheet_of",
    "print_count_sheet",
    "print_downtime",
    "print_load_labels",
    "print_set_labels",
    "set_label",
]


@dataclass(frozen=True)
class Packed:
    """What is known when a set is packed; what is empty leaves a line to write on."""

    by: str = ""
    on: date | None = None


def count_sheet_of(
    checked: CheckedSet,
    texts: Mapping[str, Instruction],
    *,
    printed_on: date,
    size: SheetSize = SheetSize.a4,
    layout: Layout | None = None,
    inside: bool = False,
    readers: Readers | None = None,
) -> bytes:
    """The count sheet of a set from a file.

    Args:
        checked: the set, held against its texts.
        texts: the texts of its members by what the set calls them.
        printed_on: the day.
        size: of the paper.
        layout: of the tray, where it was laid out.
        inside: whether it is to lie in the pack.
        readers: who reads it; English unless told.

    Raises:
        NotForTheFloor: if a sign cannot be shown, or, unless it is a proof, a stop is open.
    """
    site = checked.answer.site
    return count_sheet_pdf(
        CountSheetRequest(
            document=checked.document,
            contents=checked.answer.contents,
            mass=checked.answer.mass,
            printed=printed_on.isoformat(),
            department=site.name if site else "",
            made_from=tuple(made_from(text) for text in texts.values()),
            size=size,
            tray_map=tray_map_of(layout) if layout else None,
            inside=inside,
            holders=holders_named(site),
            stops=stops_among(checked.findings, layout),
            readers=readers or Readers(),
        )
    )


def tray_map_of(layout: Layout) -> TrayMap:
    """The tray from above with the letter of each thing, as a count sheet shows it."""
    letters = {(piece.member, piece.part): piece.letter for piece in layout.pieces}
    return TrayMap(tray_map_svg(layout, front=""), described_layout(layout), letters)


def stops_among(findings: Iterable[Finding], layout: Layout | None = None) -> tuple[Finding, ...]:
    """What keeps the count sheet of a set off the floor: the stops of the set, then those of its tray."""
    found = (*findings, *(layout.findings if layout else ()))
    return tuple(one for one in found if one.level is Level.stop)


def holders_named(site: Department | None) -> dict[str, str]:
    """What the department's things are called that devices lie in, by id."""
    return {one.id: one.name for one in site.packaging} if site else {}


def made_from(text: Instruction, digest: str = "") -> MadeFrom:
    """What a sheet says of a text that it rests on."""
    document = text.device.document
    return MadeFrom(text.device.name, document.title or "", document.revision or "", digest)


def set_label(
    document: SetDocument, answer: SetAnswer, said: SaidNumber, *, packed: Packed, printed_on: date
) -> SetLabel:
    """What stands on the label of a set: a cycle only where one is common to all its devices.

    Raises:
        BadInput: if the last day of use is past on the day of printing.
    """
    site, loads, use_by = answer.site, answer.loads, said.use_by
    if use_by and use_by < printed_on:
        raise BadInput(
            f"the last day of use {use_by} is past on the day of printing; expected {printed_on} or later",
            resource="use_by",
        )
    cycle = f"{loads[0].machine}, {loads[0].program}" if len(loads) == 1 and loads[0].program else ""
    return SetLabel(
        name=document.name,
        department=site.name if site else "",
        pieces=document.counted,
        kg=answer.mass.kg,
        cycle=cycle,
        load=said.load,
        packed_by=packed.by,
        packed_on=packed.on.isoformat() if packed.on else "",
        use_by=use_by.isoformat() if use_by else "",
    )


def print_count_sheet(
    checked: CheckedSet,
    texts: Mapping[str, Instruction],
    *,
    out: Path,
    printed_on: date,
    size: SheetSize,
    inside: bool = False,
    layout: Path | None = None,
    readers: Readers,
) -> None:
    """Print the count sheet of a set from a file.

    Raises:
        BadInput: if the layout cannot be read.
        NotForTheFloor: if a sign cannot be shown, or, unless it is a proof, a stop is open or words are in
            another language, which nobody reviews outside a house.
        UnreadableFile: if it cannot be written.
    """
    pdf = count_sheet_of(
        checked,
        texts,
        printed_on=printed_on,
        size=size,
        layout=documents.load(Layout, layout) if layout else None,
        inside=inside,
        readers=readers,
    )
    documents.write_bytes(out, pdf)


def print_downtime(
    site: Department, *, out: Path, printed_on: date, size: SheetSize, sheets: int = 1, readers: Readers
) -> None:
    """Print the paper pack of a department from a file.

    Raises:
        BadInput: if there are to be no sheets, or more than anybody needs.
        NotForTheFloor: if a sign cannot be shown, or words are in another language and it is no proof.
        UnreadableFile: if it cannot be written.
    """
    pdf = downtime_pdf(DowntimeRequest(site, printed_on.isoformat(), size, sheets, readers=readers))
    documents.write_bytes(out, pdf)


def print_set_labels(
    checked: CheckedSet,
    said: SaidNumber,
    *,
    out: Path,
    size: LabelSize,
    copies: int = 1,
    packed: Packed,
    printed_on: date,
    readers: Readers,
) -> None:
    """Print labels of a set from a file.

    Raises:
        BadInput: if the number is none, its code does not fit the size, or the last day of use is past.
        NotForTheFloor: if the words do not fit the size, or are in another language and it is no proof.
        UnreadableFile: if it cannot be written.
    """
    label = set_label(checked.document, checked.answer, said, packed=packed, printed_on=printed_on)
    documents.write_bytes(out, labels_pdf(LabelRequest(label, numbered(said), size, copies, readers)))


def print_load_labels(
    label: LoadLabel, said: SaidNumber, *, out: Path, size: LabelSize, copies: int = 1, readers: Readers
) -> None:
    """Print labels of a load.

    Raises:
        BadInput: if the number is none, or its code does not fit the size.
        NotForTheFloor: if the words do not fit the size, or are in another language and it is no proof.
        UnreadableFile: if it cannot be written.
    """
    documents.write_bytes(out, labels_pdf(LabelRequest(label, numbered(said), size, copies, readers)))

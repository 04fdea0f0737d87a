"""`sinkside print`: the papers of a set and of a load: count sheet and labels."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from sinkside.cli.options import DepartmentFile, OutFile
from sinkside.cli.output import show
from sinkside.errors import BadInput

if TYPE_CHECKING:
    from sinkside.desk.paper_files import Readers
    from sinkside.desk.set_checking import CheckedSet
    from sinkside.instruction import Instruction

SetFile = Annotated[Path, typer.Argument(metavar="SET", help="The set (.yaml, .json).")]
Texts = Annotated[
    list[Path] | None,
    typer.Argument(metavar="[INSTRUCTION...]", help="Its devices' instructions or documents."),
]
Site = Annotated[Path | None, typer.Option("--department", metavar="FILE", help="What the department has.")]
Roll = Annotated[
    Literal["50x30", "76x51", "100x50"], typer.Option("--size", help="Of a label, width by height in mm.")
]
Copies = Annotated[int, typer.Option("--copies", metavar="N", min=1, max=500, help="How many alike.")]
Gtin = Annotated[str, typer.Option("--gtin", metavar="DIGITS", help="The GS1 number of a trade item.")]
Grai = Annotated[str, typer.Option("--grai", metavar="DIGITS", help="The GS1 number of a returnable asset.")]
Giai = Annotated[
    str, typer.Option("--giai", metavar="NUMBER", help="The GS1 number of an individual asset, prefix first.")
]
Own = Annotated[
    str,
    typer.Option("--number", metavar="TEXT", help="The department's own number, where there is no GS1 key."),
]
Languages = Annotated[
    str,
    typer.Option(
        "--language", metavar="CODE[,CODE]", help="The reader's language, and the one that stands beside it."
    ),
]
Proof = Annotated[
    bool, typer.Option("--proof", help="Print a marked copy although something forbids the floor copy.")
]


def count_sheet(
    set_file: SetFile,
    out: OutFile,
    instruction: Texts = None,
    department: Site = None,
    size: Annotated[Literal["a4", "letter"], typer.Option("--size", help="Of the paper.")] = "a4",
    layout: Annotated[
        Path | None, typer.Option("--layout", metavar="FILE", help="Where each thing lies in the tray.")
    ] = None,
    inside: Annotated[
        bool, typer.Option("--inside", help="It is to lie in the pack; outside unless told.")
    ] = False,
    language: Languages = "en",
    proof: Proof = False,
) -> None:
    """Print what is counted of a set before and after use and at its return."""
    from sinkside import wiring
    from sinkside.desk.paper_files import SheetSize, print_count_sheet

    checked, texts = _opened(set_file, instruction, department)
    print_count_sheet(
        checked,
        texts,
        out=out,
        printed_on=wiring.today(),
        size=SheetSize(size),
        inside=inside,
        layout=layout,
        readers=_readers(language, proof=proof),
    )
    show(f"{checked.document.name}, {checked.document.counted} pieces → {out}")


def labels(
    set_file: SetFile,
    out: OutFile,
    instruction: Texts = None,
    department: Site = None,
    gtin: Gtin = "",
    grai: Grai = "",
    giai: Giai = "",
    number: Own = "",
    serial: Annotated[str, typer.Option("--serial", help="Which of several alike; not with a GIAI.")] = "",
    lot: Annotated[str, typer.Option("--lot", help="The lot; with a GTIN only.")] = "",
    use_by: Annotated[
        str,
        typer.Option("--use-by", metavar="DAY", help="The last day of use; in the code with a GTIN only."),
    ] = "",
    load: Annotated[str, typer.Option("--load", help="The load it goes into.")] = "",
    packed_by: Annotated[str, typer.Option("--packed-by", help="Who packed it.")] = "",
    packed_on: Annotated[str, typer.Option("--packed-on", metavar="DAY", help="When it was packed.")] = "",
    size: Roll = "76x51",
    copies: Copies = 1,
    language: Languages = "en",
    proof: Proof = False,
) -> None:
    """Print labels of a set, with a GS1 DataMatrix or the department's own number."""
    from sinkside import wiring
    from sinkside.desk.paper_files import LabelSize, Packed, print_set_labels
    from sinkside.desk.paper_numbers import SaidNumber

    last, packed = _day(use_by, "--use-by"), Packed(packed_by, _day(packed_on, "--packed-on"))
    said = SaidNumber(gtin, grai, giai, number, serial=serial, lot=lot, use_by=last, load=load)
    checked, _ = _opened(set_file, instruction, department)
    print_set_labels(
        checked,
        said,
        out=out,
        size=LabelSize(size),
        copies=copies,
        packed=packed,
        printed_on=wiring.today(),
        readers=_readers(language, proof=proof),
    )
    show(f"{_so_many(copies)} of {size} mm, {checked.document.name} → {out}")


def load_label(
    out: OutFile,
    machine: Annotated[str, typer.Option("--machine", help="What the machine is called.")],
    load: Annotated[str, typer.Option("--load", help="The number of the load.")],
    department: Annotated[str, typer.Option("--department", metavar="NAME", help="Whose it is.")] = "",
    program: Annotated[str, typer.Option("--program", help="Which program.")] = "",
    started: Annotated[str, typer.Option("--started", help="When it was started.")] = "",
    by: Annotated[str, typer.Option("--by", help="Who loaded it.")] = "",
    holds: Annotated[list[str] | None, typer.Option("--set", help="A set in it; may be given again.")] = None,
    giai: Giai = "",
    number: Own = "",
    size: Roll = "76x51",
    copies: Copies = 1,
    language: Languages = "en",
    proof: Proof = False,
) -> None:
    """Print labels of a load: the code has the machine's GIAI and the load, or an own number."""
    from sinkside.desk.paper_files import LabelSize, LoadLabel, print_load_labels
    from sinkside.desk.paper_numbers import SaidNumber

    said = SaidNumber(giai=giai, own=number, load=load)
    label = LoadLabel(machine, load, department, program, started, by, tuple(holds or ()))
    readers = _readers(language, proof=proof)
    print_load_labels(label, said, out=out, size=LabelSize(size), copies=copies, readers=readers)
    show(f"{_so_many(copies)} of {size} mm, {machine}, load {load} → {out}")


def downtime(
    department: DepartmentFile,
    out: OutFile,
    size: Annotated[Literal["a4", "letter"], typer.Option("--size", help="Of the paper.")] = "a4",
    sheets: Annotated[
        int, typer.Option("--sheets", metavar="N", min=1, max=40, help="How many of each form.")
    ] = 1,
    language: Languages = "en",
    proof: Proof = False,
) -> None:
    """Print the paper pack for when the screens do not answer: forms with the department's machines."""
    from sinkside import wiring
    from sinkside.desk import routes
    from sinkside.desk.paper_files import SheetSize, print_downtime

    site = routes.open_department(department)
    readers, today = _readers(language, proof=proof), wiring.today()
    print_downtime(site, out=out, printed_on=today, size=SheetSize(size), sheets=sheets, readers=readers)
    show(f"{site.name}, forms for downtime → {out}")


def _readers(languages: str, *, proof: bool) -> Readers:
    """Who reads it; words of another language than English are a proof, because nobody here reviews them."""
    from sinkside.desk.paper_files import Readers

    return Readers(tuple(code.strip() for code in languages.split(",")), proof=proof)


def _opened(
    set_file: Path, instruction: list[Path] | None, department: Path | None
) -> tuple[CheckedSet, dict[str, Instruction]]:
    """The set, held against its texts, and the texts by what the set calls them."""
    from sinkside.desk import instructions, routes
    from sinkside.desk.set_checking import check_file, texts_of

    site = routes.open_department(department) if department else None
    opened = {path.stem: instructions.open_instruction(path) for path in instruction or ()}
    checked = check_file(set_file, opened, site)
    return checked, texts_of(checked.document, opened)


def _day(text: str, option: str) -> date | None:
    """The day that an option says; none where it says nothing."""
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        raise BadInput(f"'{text}' is no day; expected one such as 2026-12-31", resource=option) from None


def _so_many(copies: int) -> str:
    return "1 label" if copies == 1 else f"{copies} labels"

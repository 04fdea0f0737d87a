"""`sinkside set`: what travels together: checked, split, laid out, compared, in and out of one sheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.options import DepartmentFile, Json, OutFile, Profile
from sinkside.cli.output import MARKS, faults_line_by_line, show, show_changes, show_document

if TYPE_CHECKING:
    from sinkside.desk.set_checking import CheckedSet
    from sinkside.sets.layout import Layout

set_verbs = typer.Typer(
    help="Sets: checked, split, compared, to and from one sheet of a spreadsheet.",
    no_args_is_help=True,
    rich_markup_mode=None,
    add_completion=False,
)

SetFile = Annotated[Path, typer.Argument(metavar="SET", help="The set (.yaml, .json).")]
Instructions = Annotated[
    list[Path],
    typer.Argument(metavar="INSTRUCTION...", help="Its devices' instructions or documents."),
]


#: A piece that is longer is a slip of the pen.
LONGEST_MEASURED_MM = 2000.0


@set_verbs.callback()
def sets() -> None:
    """What travels together."""


@set_verbs.command()
def check(
    set_file: SetFile,
    instruction: Instructions,
    department: Annotated[
        Path | None, typer.Option("--department", metavar="FILE", help="What the department has.")
    ] = None,
    profile: Profile = "eu",
    json: Json = False,
) -> None:
    """Tell what is wrong with a set, what it weighs, and its common cycle or its split."""
    from sinkside.findings import FindingsDocument, Level

    found = _checked(set_file, instruction, department, profile)
    if json:
        show_document(FindingsDocument(findings=found.findings))
    else:
        show("\n".join(_in_words(found)))
    if any(one.level is Level.stop for one in found.findings) or found.answer.stops_of_members:
        raise typer.Exit(1)


@set_verbs.command()
def split(
    set_file: SetFile,
    instruction: Instructions,
    department: DepartmentFile,
    out: Annotated[Path, typer.Option("--out", metavar="FOLDER", help="Where the sets are written.")],
) -> None:
    """Part a set whose devices have no cycle in common: one document for each cycle."""
    from sinkside.desk.set_checking import split_file
    from sinkside.documents import save
    from sinkside.errors import UnreadableFile

    parts = split_file(_checked(set_file, instruction, department, "eu"))
    if not out.is_dir():
        raise UnreadableFile("there is no such folder", resource=str(out))
    for number, part in enumerate(parts, start=1):
        path = out / f"{set_file.stem}-{number}{set_file.suffix}"
        save(part, path)
        show(f"{part.name}: {', '.join(member.called for member in part.members)} → {path}")


@set_verbs.command()
def lay_out(
    set_file: SetFile,
    department: DepartmentFile,
    instruction: Annotated[
        list[Path] | None,
        typer.Argument(metavar="[INSTRUCTION]...", help="Its devices' instructions or documents."),
    ] = None,
    seed: Annotated[
        int, typer.Option("--seed", metavar="N", min=0, help="The same seed gives the same tray.")
    ] = 1,
    clearance: Annotated[
        float,
        typer.Option("--clearance", metavar="MM", min=0.0, max=500.0, help="Kept between two pieces."),
    ] = 5.0,
    tray: Annotated[
        str,
        typer.Option("--tray", metavar="ID", help="A tray of the department; that of the set unless told."),
    ] = "",
    levels: Annotated[
        int, typer.Option("--levels", metavar="N", min=1, max=3, help="Levels that things may lie on.")
    ] = 1,
    measured: Annotated[
        list[str] | None,
        typer.Option("--measured", metavar="NAME=LxW", help="Length and width in mm of a piece. Repeatable."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write the layout (.yaml, .json).")
    ] = None,
    svg: Annotated[
        Path | None, typer.Option("--svg", metavar="FILE", help="Write the drawing, in life size.")
    ] = None,
    json: Json = False,
) -> None:
    """Lay a set out in a tray for protection: what lies where, what is wrong, what does not fit."""
    from sinkside.desk import instructions, routes
    from sinkside.desk.set_layout import LayingAsked, lay_out_file
    from sinkside.documents import save, write_bytes
    from sinkside.findings import Level
    from sinkside.sets.layout import Clearances, tray_map_svg

    opened = {path.stem: instructions.open_instruction(path) for path in instruction or ()}
    asked = LayingAsked(
        tray=tray,
        seed=seed,
        clearances=Clearances(pieces_mm=clearance),
        layers=levels,
        measured=dict(_size(one) for one in measured or ()),
    )
    layout = lay_out_file(set_file, opened, routes.open_department(department), asked)
    if out is not None:
        save(layout, out)
    if svg is not None:
        write_bytes(svg, tray_map_svg(layout, stands_alone=True).encode())
    if json:
        show_document(layout)
    else:
        show("\n".join(_tray_in_words(layout)))
    if any(one.level is not Level.note for one in layout.findings):
        raise typer.Exit(1)


@set_verbs.command()
def to_table(
    out: OutFile,
    set_file: Annotated[
        Path | None, typer.Argument(metavar="[SET]", help="The set; the empty sheet without it.")
    ] = None,
) -> None:
    """Write the contents of a set as one sheet of a spreadsheet; without one, the sheet to fill in."""
    from sinkside.desk import set_files
    from sinkside.documents import write_bytes

    write_bytes(out, set_files.sheet_of(set_file))
    show(f"{'the empty sheet' if set_file is None else set_file} → {out}")


@set_verbs.command()
def from_table(
    table: Annotated[Path, typer.Argument(metavar="TABLE", help="The filled-in sheet (.xlsx).")],
    out: OutFile,
    name: Annotated[str, typer.Option("--name", metavar="NAME", help="What the set is called.")] = "",
    onto: Annotated[
        Path | None,
        typer.Option(
            "--onto", metavar="FILE", help="The set as it stands; its name, packaging and masses stay."
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Read the contents of a set from one sheet, and tell what changes; every fault by row and column."""
    from sinkside.desk import set_files
    from sinkside.documents import save
    from sinkside.errors import BadInput
    from sinkside.sets import compare_sets, load_set

    if not name and onto is None:
        raise BadInput("say what the set is called, with --name, or the set as it stands, with --onto")
    before = load_set(onto) if onto else None
    with faults_line_by_line(table):
        found = set_files.set_of(table, name=name, onto=before)
    save(found, out)
    if before is not None:
        show_changes(compare_sets(before, found), json=json)
    if not json:
        show(f"{found.name}, {found.counted} pieces → {out}")


@set_verbs.command()
def compare(
    before: Annotated[Path, typer.Argument(metavar="BEFORE", help="What the set was.")],
    after: Annotated[Path, typer.Argument(metavar="AFTER", help="What it is now.")],
    json: Json = False,
) -> None:
    """Tell what changed between two files of a set, in the trade's terms."""
    from sinkside.sets import compare_sets, load_set

    show_changes(compare_sets(load_set(before), load_set(after)), json=json)


def _checked(set_file: Path, instruction: list[Path], department: Path | None, profile: str) -> CheckedSet:
    from sinkside.desk import instructions, routes
    from sinkside.desk.set_checking import check_file

    site = routes.open_department(department) if department else None
    opened = {path.stem: instructions.open_instruction(path) for path in instruction}
    return check_file(set_file, opened, site, profile=profile)


def _in_words(found: CheckedSet) -> list[str]:
    document, answer = found.document, found.answer
    mass = f"{answer.mass.kg:.2f} kg" if answer.mass.kg is not None else "mass not known"
    lines = [f"{document.name}: {document.counted} pieces, {mass}"]
    lines += [
        f"  {', '.join(load.members)}: {f'{load.machine} {load.program}'.strip() or 'no cycle here'}"
        for load in answer.loads
    ]
    lines += [
        f"  {MARKS[one.level.value]} {one.level.value}: {one.message} {one.remedy}" for one in found.findings
    ]
    lines += [
        f"  {MARKS['stop']} stop: {called}: {stops[0].message}"
        for called, stops in answer.stops_of_members.items()
    ]
    return lines


def _size(written: str) -> tuple[str, tuple[float, float]]:
    """A measured piece: its name, length and width in mm."""
    from sinkside.errors import BadInput

    name, _, size = written.rpartition("=")
    try:
        long, wide = (float(one) for one in size.lower().replace("mm", "").split("x"))
    except ValueError:
        long = wide = 0.0
    if not name.strip() or not 0.0 < long <= LONGEST_MEASURED_MM or not 0.0 < wide <= LONGEST_MEASURED_MM:
        raise BadInput(f"'{written}'; expected a name with length and width in mm, such as 'hook=180x20'")
    return name.strip(), (long, wide)


def _tray_in_words(layout: Layout) -> list[str]:
    from sinkside.sets.layout import tray_lines

    tray = layout.tray
    size = f"{tray.length_mm:g} × {tray.width_mm:g} mm"
    lines = [f"{layout.set}: {len(layout.pieces)} pieces in {tray.name}, {size}, seed {layout.seed}"]
    for line in tray_lines(layout):
        told = [line.lies, line.holder, f"turned {line.turn}" if line.turn else ""]
        told.append(f"order of use {line.order}" if line.order else "")
        more = "; ".join(one for one in told if one)
        lines.append(f"  {line.letter:<3} {line.count} × {line.name}{f': {more}' if more else ''}")
    lines += [f"  –   {one.piece.name}: {one.why}" for one in layout.left_out]
    lines += [
        f"  {MARKS[one.level.value]} {one.level.value}: {one.message} {one.remedy}" for one in layout.findings
    ]
    return lines

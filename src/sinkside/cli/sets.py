"""`sinkside set`: what travels together: checked, split, compared, in and out of one sheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.options import DepartmentFile, Json, OutFile, Profile
from sinkside.cli.output import MARKS, faults_line_by_line, show, show_changes, show_document

if TYPE_CHECKING:
    from sinkside.desk.set_checking import CheckedSet

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

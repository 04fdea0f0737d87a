"""Sets in and out of files: a document (YAML or JSON) or one sheet of a spreadsheet."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Final

from sinkside.desk import sets
from sinkside.desk.access import Visitor, require
from sinkside.desk.parsing_child import ChildLimits, run_child
from sinkside.desk.ports import Archive
from sinkside.desk.set_texts import Finder, device_name
from sinkside.desk.uploads import Upload, check_upload
from sinkside.documents import read_bytes, to_yaml
from sinkside.sets import SetDocument, load_set, read_set
from sinkside.sets.sheet import read_sheet, write_sheet

SHEET_ENDING: Final = ".xlsx"
ENDINGS: Final = frozenset({".json", SHEET_ENDING, ".yaml", ".yml"})
_LARGEST_BYTES: Final = 2_000_000

#: A person waits for it at a page.
_LIMITS: Final = ChildLimits(memory_bytes=1_000_000_000, processor_s=20, clock_s=30.0)


def hand_in_set(archive: Archive, who: Visitor, upload: Upload, *, name: str, now: datetime) -> str:
    """Keep what a file says as a new set, and say its id.

    Args:
        archive: where it is kept.
        who: who hands it in.
        upload: a document, or a spreadsheet with one sheet.
        name: what the set is called; a document says it itself unless told.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        UnreadableFile: if it cannot be read.
        BadDocument: with every fault by its path, or by row and column.
    """
    require(who, sets.EDIT)
    found = _read(upload, name=name.strip(), onto=None)
    return sets.make_set(archive, who, found, now=now, note=f"From the file {upload.plain_name}")


def hand_in_revision(
    archive: Archive, who: Visitor, key: str, upload: Upload, *, base: int, now: datetime
) -> int:
    """Keep what a file says as the next revision of a set, and say which.

    A spreadsheet tells the contents; name, packaging and masses of the set stay. A document tells all of it.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        Conflict: if there is a later revision already, or the set is not in use.
        UnreadableFile: if it cannot be read.
        BadDocument: with every fault by its path, or by row and column.
    """
    require(who, sets.EDIT)
    before = sets.open_set(archive, who, key).document
    found = _read(upload, name=before.name, onto=before)
    note = f"From the file {upload.plain_name}"
    return sets.change_set(archive, who, key, found, base=base, now=now, note=note)


def template() -> bytes:
    """The sheet to fill in: its headings, each with a note on what it holds."""
    return write_sheet(None)


def as_sheet(archive: Archive, who: Visitor, key: str) -> bytes:
    """A set's contents as the same sheet, with devices by name.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    return write_sheet(_named(archive, who, sets.open_set(archive, who, key).document))


def as_document(archive: Archive, who: Visitor, key: str) -> bytes:
    """A set as a YAML document, with devices by name.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    return to_yaml(_named(archive, who, sets.open_set(archive, who, key).document)).encode()


def sheet_of(path: Path | None) -> bytes:
    """The contents of a set's file as a sheet; without a file the template.

    Raises:
        BadInput: if it cannot be read, or does not fit.
    """
    return write_sheet(load_set(path) if path else None)


def set_of(table: Path, *, name: str, onto: SetDocument | None) -> SetDocument:
    """The set that a spreadsheet's file tells.

    Raises:
        BadInput: if it cannot be read; every fault by row and column.
    """
    return read_sheet(read_bytes(table), name=name, onto=onto, resource=str(table))


def _read(upload: Upload, *, name: str, onto: SetDocument | None) -> SetDocument:
    check_upload(upload, most_bytes=_LARGEST_BYTES, endings=ENDINGS)
    arguments = {"name": name, "onto": onto.model_dump(mode="json", exclude_none=True) if onto else None}
    files = [(upload.plain_name, upload.data)]
    values = run_child("set", files, arguments=arguments, limits=_LIMITS)
    return read_set(values, resource=upload.plain_name)


def _named(archive: Archive, who: Visitor, document: SetDocument) -> SetDocument:
    """The set with devices by what they are called, where no other bears the name."""
    with archive.unit(writes=False) as unit:
        finder = Finder(unit, who)
        named = [one.instruction for one in document.members]
        named += [one.instruction for member in document.members for one in member.substitutes]
        names = {}
        for key in dict.fromkeys(named):
            row, _ = finder.row(key)
            called = device_name(row) if row else key
            names[key] = called if finder.row(called)[0] == row else key
    return document.model_copy(
        update={
            "members": tuple(
                one.model_copy(
                    update={
                        "instruction": names[one.instruction],
                        "name": one.name if one.name != names[one.instruction] else "",
                        "substitutes": tuple(
                            other.model_copy(update={"instruction": names[other.instruction]})
                            for other in one.substitutes
                        ),
                    }
                )
                for one in document.members
            )
        }
    )


def read_in_child(path: Path, arguments: Mapping[str, object]) -> SetDocument:
    """What a file from outside says of a set; for the child that reads such files.

    Raises:
        BadInput: if it cannot be read, or does not fit; every fault is told.
    """
    onto = arguments["onto"]
    if path.suffix.lower() == SHEET_ENDING:
        before = read_set(onto) if onto else None
        return read_sheet(read_bytes(path), name=str(arguments["name"]), onto=before, resource=path.name)
    found = load_set(path)
    return found.model_copy(update={"name": arguments["name"]}) if arguments["name"] and not onto else found

"""A department out to one spreadsheet and in again: read, looked at beforehand, then kept by a person."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final, Literal

from sinkside.department import Department, DepartmentChange, compare_departments
from sinkside.department.spreadsheet import read_spreadsheet, write_spreadsheet
from sinkside.desk import departments
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.parsing_child import ChildLimits, run_child
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import Upload, check_upload, new_id
from sinkside.documents import Value, read_bytes, validate
from sinkside.errors import BadInput, NotThere
from sinkside.records import Row

KIND: Final = "department-table"
ENDINGS: Final = frozenset({".xlsx"})
LARGEST_TABLE_BYTES: Final = 5_000_000

#: A person waits for it at a page.
_LIMITS: Final = ChildLimits(memory_bytes=1_000_000_000, processor_s=20, clock_s=30.0)


class ReadTable(Value):
    """A spreadsheet as it was read (`sinkside/department-table-1`), laid over revision `base`."""

    format: Literal["sinkside/department-table-1"] = "sinkside/department-table-1"
    base: int
    file: str
    file_name: str
    department: Department


@dataclass(frozen=True)
class TableSeen:
    """A spreadsheet before it is kept: its name, the revision it was laid over, what it would change.

    `is_current` is false once somebody made a later revision; it must be handed in again then.
    """

    file_name: str
    base: int
    changes: tuple[DepartmentChange, ...]
    is_current: bool


def template() -> bytes:
    """The spreadsheet to fill in: every sheet with its headings, each with a note on what it holds."""
    return write_spreadsheet(None)


def as_table(archive: Archive, who: Visitor) -> bytes:
    """What this department has as the spreadsheet.

    Raises:
        NotAllowed: without the right.
    """
    return write_spreadsheet(departments.open_latest(archive, who).department)


def table_of(path: Path | None) -> bytes:
    """What a department's file holds as the spreadsheet; without a file the template.

    Raises:
        BadInput: if it cannot be read, or does not fit.
    """
    from sinkside.desk.routes import open_department

    return write_spreadsheet(open_department(path) if path else None)


def department_of(table: Path, *, onto: Department | None) -> Department:
    """The department that a spreadsheet's file tells.

    Args:
        table: the file, .xlsx.
        onto: the department as it stands; what the spreadsheet does not tell stays.

    Raises:
        BadInput: if it cannot be read; every fault by sheet, row and column.
    """
    return read_spreadsheet(read_bytes(table), onto=onto, resource=str(table))


def hand_in_table(archive: Archive, who: Visitor, upload: Upload, *, now: datetime) -> str:
    """Read a spreadsheet, and say under which id one looks at what it would change; nothing changes yet.

    Raises:
        NotAllowed: without the right.
        UnreadableFile: if it is empty, too large or no spreadsheet.
        BadDocument: with every fault by sheet, row and column.
    """
    require(who, "department-edit")
    check_upload(upload, most_bytes=LARGEST_TABLE_BYTES, endings=ENDINGS)
    known = departments.open_latest(archive, who)
    onto = known.department.model_dump(mode="json", exclude_none=True)
    read = run_child(
        "department", [(upload.plain_name, upload.data)], arguments={"onto": onto}, limits=_LIMITS
    )
    found = validate(Department, read, resource=upload.plain_name)
    table = new_id("d")
    with archive.unit() as unit:
        file = unit.files.put(upload.data, media_type=upload.media_type, name=upload.plain_name)
        kept = ReadTable(base=known.number, file=file.digest, file_name=upload.plain_name, department=found)
        revision = keep_next(unit, KIND, table, kept, by=who.person, now=now)
        unit.rows.put(Row(KIND, table, who.department, "read", upload.plain_name, now))
        data = {"digest": revision.digest, "file": file.digest}
        record(unit, who, "department-table-handed-in", f"{KIND}:{table}", now=now, data=data)
    return table


def see_table(archive: Archive, who: Visitor, table: str) -> TableSeen:
    """What a spreadsheet would change.

    Raises:
        NotAllowed: without the right.
        NotThere: if none was handed in here under this id.
    """
    require(who, "department-edit")
    with archive.unit(writes=False) as unit:
        read = _table_in(unit, who, table)
        now_kept = unit.documents.get(departments.KIND, who.department)
        before = departments.department_in(unit, who.department, read.base) if read.base else None
        before = before or departments.named_only(unit, who)
        number = now_kept.number if now_kept else 0
        return TableSeen(
            read.file_name, read.base, compare_departments(before, read.department), number == read.base
        )


def keep_table(archive: Archive, who: Visitor, table: str, *, now: datetime) -> int:
    """Keep what a spreadsheet says as the next revision, and say which.

    Raises:
        NotAllowed: without the right.
        NotThere: if none was handed in here under this id.
        Conflict: if somebody changed the department since it was handed in.
        BadInput: if it would change nothing.
    """
    seen = see_table(archive, who, table)
    if not seen.changes:
        raise BadInput("this spreadsheet says what is kept already; nothing would change")
    with archive.unit(writes=False) as unit:
        read = _table_in(unit, who, table)
    note = f"From the spreadsheet {read.file_name}"
    return departments.keep_department(archive, who, read.department, now=now, base=read.base, note=note)


def _table_in(unit: Unit, who: Visitor, table: str) -> ReadTable:
    row = unit.rows.get(KIND, table)
    read = read_kept(unit, KIND, table, ReadTable)
    if row is None or read is None or row.department != who.department:
        raise NotThere("there is no such spreadsheet here", resource=table)
    return read

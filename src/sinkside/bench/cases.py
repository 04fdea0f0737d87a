"""Cases to come, from a spreadsheet or a calendar: number, room, begin, end and sets; nothing else is read.

Whatever else such a file holds may name a patient. It is left out, and that is said without repeating it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Final

from pydantic import AwareDatetime

from sinkside.bench.case_calendar import raw_events
from sinkside.bench.case_number import CaseNumber, RoomName, case_number, room_name
from sinkside.bench.case_rows import MOST_CASES, Raw, csv_rows, raw_rows, xlsx_rows
from sinkside.documents import Value
from sinkside.errors import BadInput, UnreadableFile
from sinkside.journal import moment

ENDINGS: Final = frozenset({".csv", ".ics", ".xlsx"})


class PlannedCase(Value):
    """A case to come: its number, room, begin and end, and the sets it needs, each as often as needed."""

    number: CaseNumber
    begins: AwareDatetime
    room: RoomName = ""
    ends: AwareDatetime | None = None
    sets: tuple[str, ...] = ()
    cancelled: bool = False


class CasesRead(Value):
    """What a file says of cases, what of it was left out, and which rows were refused, in sentences."""

    cases: tuple[PlannedCase, ...] = ()
    left_out: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()


def read_cases(name: str, data: bytes, *, zone: str, sets: Mapping[str, str]) -> CasesRead:
    """The cases of a file: a spreadsheet (.csv, .xlsx) or a calendar (.ics).

    Args:
        name: the file's name.
        data: its content.
        zone: the department's IANA zone, for times that say none.
        sets: the department's sets, by name and by key in small letters, with their keys.

    Raises:
        UnreadableFile: if it is neither, or has no column of case numbers.
    """
    ending = name[name.rfind(".") :].lower()
    left_out: list[str] = []
    if ending == ".ics":
        rows: Iterable[Raw] = raw_events(data, left_out, resource=name)
    elif ending in ENDINGS:
        table = csv_rows(data, name) if ending == ".csv" else xlsx_rows(data, name)
        rows = raw_rows(table, left_out, name)
    else:
        raise UnreadableFile("expected a spreadsheet (.csv, .xlsx) or a calendar (.ics)", resource=name)
    return _judged(rows, left_out, zone, sets)


def _judged(rows: Iterable[Raw], left_out: list[str], zone: str, sets: Mapping[str, str]) -> CasesRead:
    cases: dict[str, PlannedCase] = {}
    refused: list[str] = []
    for row in rows:
        try:
            found = _case(row, left_out, zone, sets)
        except BadInput as error:
            refused.append(f"{row.where}: {error.message}")
            continue
        if found.number in cases:
            refused.append(f"{row.where}: the case number stands twice")
        elif len(cases) >= MOST_CASES:
            refused.append(f"{row.where}: too many cases; at most {MOST_CASES}")
            break
        else:
            cases[found.number] = found
    ordered = sorted(cases.values(), key=lambda one: (one.begins, one.number))
    return CasesRead(cases=tuple(ordered), left_out=tuple(left_out), refused=tuple(refused))


def _case(row: Raw, left_out: list[str], zone: str, sets: Mapping[str, str]) -> PlannedCase:
    number = case_number(row.number)
    if row.fault:
        raise BadInput(row.fault)
    if row.begins is None:
        raise BadInput("no begin; expected a day and a time, such as 2026-12-02 07:30")
    begins, ends = _moment(row.begins, zone), _moment(row.ends, zone) if row.ends else None
    if ends is not None and ends <= begins:
        raise BadInput("it ends before it begins")
    try:
        room = room_name(row.room)
    except BadInput:
        room = ""
        left_out.append(f"{row.where}: the room was left out, since it reads like none.")
    known = [sets.get(" ".join(one.split()).casefold()) for one in row.sets if one.strip()]
    if missing := known.count(None):
        left_out.append(f"{row.where}: {missing} of the sets named there are none of this department.")
    keys = tuple(key for key in known if key is not None)
    return PlannedCase(number=number, begins=begins, room=room, ends=ends, sets=keys, cancelled=row.cancelled)


def _moment(stamp: datetime, zone: str) -> datetime:
    return stamp if stamp.tzinfo is not None else moment(stamp, zone)

"""The number of an operation, and its room: all that this house knows of a case; no name fits into either."""

from __future__ import annotations

import re
from typing import Annotated, Final

from pydantic import AfterValidator

from sinkside.errors import BadInput

#: Groups of digits with a letter before or behind, or two before a short one, joined by dashes and the like.
_GROUP: Final = r"(?:[A-Z]{2}\d{1,3}|[A-Z]?\d{1,10})[A-Z]?"
_NUMBER: Final = re.compile(rf"(?:[A-Z]-)?{_GROUP}(?:[-/.]{_GROUP}){{0,4}}", re.ASCII)
_LONGEST: Final = 24
_FEWEST_DIGITS: Final = 3
#: A day or a year as people write it: 03.04.1957, 1957-04-03, 4/3/57, 19570403, 1957. It could be a birthday.
_YEAR: Final = r"(?:19|20)\d{2}"
_DAY: Final = re.compile(
    rf"\d{{1,2}}[-/.]\d{{1,2}}[-/.](?:\d{{2}}|\d{{4}})|{_YEAR}[-/.]\d{{1,2}}[-/.]\d{{1,2}}"
    rf"|{_YEAR}[01]\d[0-3]\d|[0-3]\d[01]\d{_YEAR}|{_YEAR}"
)
#: What rooms are called in the languages of this house, with a number behind; a letter alone will do too.
_ROOM: Final = re.compile(
    r"(?:(?:theatre|theater|room|or|ot|op|op-saal|saal|salle|bloc|sala|quirófano|[a-z])[ -]?)?\d{1,3}[a-z]?",
    re.IGNORECASE,
)

_EXPECTED: Final = "expected a case number, such as 2026-04711 or C-1183; no name and no birthday"


def case_number(written: str) -> str:
    """A case number as it is kept: trimmed, in capitals.

    Raises:
        BadInput: if it is none. The words are not repeated, since they may be a name.

    >>> case_number(" c-1183 "), case_number("2026-04711")
    ('C-1183', '2026-04711')
    """
    found = written.strip().upper()
    fits = len(found) <= _LONGEST and _NUMBER.fullmatch(found) is not None
    if not fits or sum(sign.isdigit() for sign in found) < _FEWEST_DIGITS or _DAY.fullmatch(found):
        raise BadInput(_EXPECTED, resource="case")
    return found


def room_name(written: str) -> str:
    """A room as it is kept; empty where none was said.

    Raises:
        BadInput: if it is none. The words are not repeated, since they may be a name.

    >>> room_name("OR 3"), room_name("Saal 12a"), room_name("")
    ('OR 3', 'Saal 12a', '')
    """
    found = " ".join(written.split())
    if found and _ROOM.fullmatch(found) is None:
        raise BadInput("expected a room, such as OR 3 or Theatre 12; no name", resource="room")
    return found


def _number(value: str) -> str:
    try:
        return case_number(value)
    except BadInput as error:
        raise ValueError(error.message) from error


def _number_or_none(value: str) -> str:
    return _number(value) if value.strip() else ""


def _room(value: str) -> str:
    try:
        return room_name(value)
    except BadInput as error:
        raise ValueError(error.message) from error


#: A case number; `OptionalCaseNumber` may be empty; `RoomName` is a room, or empty.
CaseNumber = Annotated[str, AfterValidator(_number)]
OptionalCaseNumber = Annotated[str, AfterValidator(_number_or_none)]
RoomName = Annotated[str, AfterValidator(_room)]

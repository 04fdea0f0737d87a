"""Acts around a case: theatre reports a set as used and closes the case; a missing fragment is told at once.

None of their fields takes a name: a case is a number, damage and outcomes are picked from lists.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Final, Literal

from pydantic import AwareDatetime, Field

from sinkside.bench.acts import ActOnCopy
from sinkside.bench.case_number import CaseNumber
from sinkside.documents import Value

#: What plans number their lines and tasks by, and alarms their own.
LineId = Annotated[str, Field(pattern=r"^[0-9]{1,4}$")]
TaskId = Annotated[str, Field(pattern=r"^[0-9]{1,4}\.[A-Z]{1,3}[0-9]{0,3}$")]
PartId = Annotated[str, Field(pattern=r"^[0-9]{1,4}-[0-9]{1,3}$")]
AlarmId = Annotated[str, Field(pattern=r"^a-[0-9a-f]{4,32}$")]

_MOST: Final = 99


class DamageKind(StrEnum):
    """What may be wrong with an instrument after a case."""

    bent = "bent"
    blunt = "blunt"
    broken = "broken"
    cracked = "cracked"
    insulation = "insulation"
    loose = "loose"
    stiff = "stiff"
    other = "other"


#: The same in words.
DAMAGE_WORDS: Final = {
    DamageKind.bent: "bent",
    DamageKind.blunt: "blunt",
    DamageKind.broken: "broken",
    DamageKind.cracked: "cracked",
    DamageKind.insulation: "insulation damaged",
    DamageKind.loose: "loose",
    DamageKind.stiff: "stiff",
    DamageKind.other: "something else is wrong: ask theatre",
}


class Damaged(Value):
    """A line of the list that came out of the case damaged, and how."""

    line: LineId
    kind: DamageKind


class Missing(Value):
    """How many of a line of the list are missing after the case."""

    line: LineId
    count: Annotated[int, Field(ge=1, le=_MOST)] = 1


class ReportUse(ActOnCopy):
    """A set was used in a case: until when, what of its first treatment was done, what is damaged or missing.

    `treated` says that everything was done that the texts ask for at the point of use, but for `undone`;
    `discarded` are the parts for one use that were thrown away, by member and part in the order of the plan.
    """

    act: Literal["report-use"] = "report-use"
    case: CaseNumber
    last_used: AwareDatetime
    treated: bool = False
    undone: Annotated[tuple[TaskId, ...], Field(max_length=_MOST)] = ()
    discarded: Annotated[tuple[PartId, ...], Field(max_length=_MOST)] = ()
    damaged: Annotated[tuple[Damaged, ...], Field(max_length=_MOST)] = ()
    missing: Annotated[tuple[Missing, ...], Field(max_length=_MOST)] = ()


class CloseCase(Value):
    """A case is over; every set that was used in it is reported."""

    act: Literal["close-case"] = "close-case"
    case: CaseNumber


class MissingFragment(ActOnCopy):
    """Something of a set is missing that may be in the patient: theatre is told at once."""

    act: Literal["missing-fragment"] = "missing-fragment"
    line: LineId
    count: Annotated[int, Field(ge=1, le=_MOST)] = 1


class AlarmOutcome(StrEnum):
    """What theatre says to a missing fragment: told and looking, found, or not found."""

    looking = "looking"
    found = "found"
    not_found = "not-found"


class AcknowledgeAlarm(Value):
    """Theatre has heard of a missing fragment: of which case, and what came of it so far."""

    act: Literal["acknowledge-alarm"] = "acknowledge-alarm"
    alarm: AlarmId
    case: CaseNumber
    outcome: AlarmOutcome = AlarmOutcome.looking


OfACase = ReportUse | CloseCase | MissingFragment | AcknowledgeAlarm

"""Records of the bench: what stands where, runs, what machines took, cases, and every act.

No field of any of them takes a name: people go by pseudonym, an operation by its case number.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

Fields = Mapping[str, str | int | float | bool | None]


@dataclass(frozen=True)
class KeptCopy:
    """One physical set, or one marked instrument, with a code of its own.

    Attributes:
        id: its own, for good.
        department: whose it is.
        code: what a scanner reads; no other copy here has it.
        kind: `set` or `instrument`.
        of: the key of the set, or the id of the instruction.
        name: what people call it.
        state: how it stands.
        place: where it is.
        updated: when it last changed.
        run: its last run; empty before its first.
        due: by when something must be done with it.
        fields: everything else.
    """

    id: str
    department: str
    code: str
    kind: str
    of: str
    name: str
    state: str
    place: str
    updated: datetime
    run: str = ""
    due: datetime | None = None
    fields: Fields = field(default_factory=dict)


@dataclass(frozen=True)
class WantedCopies:
    """Which copies are wanted: how they stand, of what, words in name or code, due before when."""

    states: Sequence[str] = ()
    of: str = ""
    text: str = ""
    due_before: datetime | None = None
    limit: int = 200
    offset: int = 0


@dataclass(frozen=True)
class KeptRun:
    """One set on its way along its route, once; `body` is the run as JSON, `version` counts its changes.

    `plan` is what it has to go through, by its id.
    """

    id: str
    department: str
    copy: str
    opened: datetime
    state: str
    version: int
    body: str
    closed: datetime | None = None
    plan: str = ""


@dataclass(frozen=True)
class PlanText:
    """That a plan follows a revision of an instruction."""

    plan: str
    instruction: str
    revision: int


@dataclass(frozen=True)
class KeptLoad:
    """What one machine processes at once; `cycle` is the record of it, empty until there is one."""

    id: str
    department: str
    station: str
    machine: str
    program: str
    state: str
    opened: datetime
    started: datetime | None = None
    cycle: str = ""
    fields: Fields = field(default_factory=dict)


@dataclass(frozen=True)
class LoadedCopy:
    """That a copy, on a run, went into a load, and when it was taken out again before that began."""

    load: str
    copy: str
    run: str
    at: datetime
    out: datetime | None = None


@dataclass(frozen=True)
class KeptCase:
    """An operation, by its number: where it is, when it begins and when it ended."""

    id: str
    department: str
    number: str
    room: str
    begins: datetime
    state: str
    ended: datetime | None = None
    fields: Fields = field(default_factory=dict)


@dataclass(frozen=True)
class CaseSet:
    """That a case needs a set; `copy` is the one that is reserved, issued or used for it, empty until then.

    `turn` tells apart two of the same set; `run` is the one by which the copy was processed for it.
    """

    case: str
    set: str
    turn: int = 1
    copy: str = ""
    state: str = "wanted"
    run: str = ""


@dataclass(frozen=True)
class KeptTap:
    """One act at a bench and what came of it; the key makes a repeat harmless.

    `at` is when it was done, `taken` when it was taken in; `number` is its turn in the queue of the bench,
    0 where it stood in none; `entered` says that it was entered from paper; `run` is the copy's run then.
    """

    key: str
    department: str
    bench: str
    number: int
    act: str
    by: str
    at: datetime
    taken: datetime
    outcome: str
    said: str
    copy: str = ""
    state: str = ""
    entered: bool = False
    run: str = ""
    fields: Fields = field(default_factory=dict)

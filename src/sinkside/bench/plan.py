"""What a set goes through, once for all runs of one revision: tasks in order, and what is counted."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from sinkside.department import Station
from sinkside.documents import Value
from sinkside.errors import BadInput
from sinkside.instruction import Action, Instruction, PartUse, Stage
from sinkside.plain.operations import shown_operations
from sinkside.plain.steps import plain_steps
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.route import Binding, Operation, ResourceKind, Route
from sinkside.sets import NEVER_IN_THE_TRAY, Content

#: What is done elsewhere and cannot be made good at the department: told, and no bar to the store.
ELSEWHERE: Final = frozenset({Station.theatre, Station.transport})

#: A thing lies or stands for as long as the text says at least: a timer is kept, however short that is.
_EXPOSURES: Final = frozenset({Action.soak, Action.sonicate, Action.disinfect, Action.cool})

#: What hands go on doing is timed too, from a minute on (common practice, no source).
_HANDS_TIMED_FROM_S: Final = 60.0

#: Where a machine's program makes a load that somebody decides on; elsewhere people watch a timer.
_LOADED: Final = frozenset({Station.washer, Station.sterilizer})

_COUNTED: Final = frozenset({Action.flush, Action.brush, Action.rinse, Action.actuate, Action.wipe})

#: Parts of a time figure that say when, not for how long.
_NO_STAY: Final = frozenset({"within", "deadline", "total", "interval"})

Whose = Literal["hand", "machine"]


class Task(Value):
    """One operation of the route for one member.

    Attributes:
        id: its own in the plan.
        member: what the set calls the device.
        letter: its letter on the route.
        station: where it is done.
        stage: the stage of the work.
        action: what is done.
        words: the same in one plain sentence.
        figures: its figures as written, with their bounds.
        at_least_s: for how long at least, where it is timed; 0 where it is not.
        times: how often at least, where it is counted; 0 where it is not.
        until: what must be seen before it is done; empty where nothing is said.
        required: whether nothing goes on without it.
        machine: the machine that does it, empty where a person does.
        program: its program.
    """

    id: str
    member: str
    letter: str
    station: Station
    stage: Stage
    action: Action
    words: str
    figures: tuple[str, ...] = ()
    at_least_s: float = 0.0
    times: int = 0
    until: str = ""
    required: bool = True
    machine: str = ""
    program: str = ""

    @property
    def whose(self) -> Whose:
        """Whether a person or a machine does it."""
        return "machine" if self.machine else "hand"


class Line(Value):
    """One line of the count: a device, or a part of one; a critical one may not be missing at all.

    `most_uses` is how often its text lets it be processed; 0 where it says nothing.
    """

    id: str
    member: str
    part: str = ""
    expected: int
    critical: bool
    most_uses: int = 0

    @property
    def words(self) -> str:
        """What it is called."""
        return f"{self.member}, {self.part}" if self.part else self.member


class TextBehind(Value):
    """The text of a member that a plan follows: instruction, revision, and the families of the device."""

    member: str
    instruction: str
    revision: int
    families: tuple[str, ...] = ()


class Plan(Value):
    """Everything that one revision of a set goes through here (`sinkside/plan-1`)."""

    format: Literal["sinkside/plan-1"] = "sinkside/plan-1"
    set: str
    name: str
    set_revision: int
    texts: tuple[TextBehind, ...]
    tasks: tuple[Task, ...]
    lines: tuple[Line, ...]
    packaging: str = ""
    mass_kg: float | None = None

    def task(self, task: str) -> Task:
        """A task by its id.

        Raises:
            BadInput: if the plan has none of that id.
        """
        found = next((one for one in self.tasks if one.id == task), None)
        if found is None:
            raise BadInput(f"this set's route has no task '{task}'", resource="task")
        return found

    def line(self, line: str) -> Line:
        """A line of the count by its id.

        Raises:
            BadInput: if the list has none of that id.
        """
        found = next((one for one in self.lines if one.id == line), None)
        if found is None:
            raise BadInput(f"this set's list has no line '{line}'", resource="line")
        return found

    def at(self, station: Station) -> tuple[Task, ...]:
        """The tasks at a station that people do, in their order."""
        return tuple(one for one in self.tasks if one.station is station and one.whose == "hand")

    def machines(self, station: Station) -> tuple[Task, ...]:
        """The tasks at a station that machines do."""
        return tuple(one for one in self.tasks if one.station is station and one.whose == "machine")

    @property
    def families(self) -> frozenset[str]:
        """The families of every device in the set."""
        return frozenset(family for text in self.texts for family in text.families)


@dataclass(frozen=True)
class MemberRoute:
    """A member of a set with its approved text and its route here."""

    called: str
    text: TextBehind
    instruction: Instruction
    route: Route


def tasks_of(members: Iterable[MemberRoute]) -> tuple[Task, ...]:
    """The tasks of every member, in the order of the stations and then of the set's list."""
    found = [task for turn, one in enumerate(members, start=1) for task in _of_member(turn, one)]
    stations = list(Station)
    return tuple(sorted(found, key=lambda one: stations.index(one.station)))


def lines_of(contents: Iterable[Content], instructions: Mapping[str, Instruction]) -> tuple[Line, ...]:
    """The lines of the count: everything that lies in the tray.

    Args:
        contents: what is in the set.
        instructions: the members' texts by what the set calls them.

    A part is critical, as its device is none without it; so is the only one of its kind (common practice,
    no source).
    """
    counted = [one for one in contents if one.use not in NEVER_IN_THE_TRAY]
    return tuple(
        Line(
            id=str(number),
            member=one.member,
            part=one.name,
            expected=one.count,
            critical=bool(one.name) or one.count == 1 or one.use is PartUse.new_at_assembly,
            most_uses=_most_uses(instructions[one.member], one.name) if one.member in instructions else 0,
        )
        for number, one in enumerate(counted, start=1)
    )


def _most_uses(text: Instruction, part: str) -> int:
    """How often a device, or a part of it, may be processed by its text; 0 where it says nothing."""
    ids = {one.id for one in text.device.parts if part in {one.name, one.id}}
    told = [
        one.ends()[1]
        for statement in text.statements
        if statement.kind == "life" and (not statement.about or not part or ids & set(statement.about))
        for one in statement.figures
        if one.quantity is FigureQuantity.counted
    ]
    return math.floor(min((one for one in told if math.isfinite(one)), default=0))


def _of_member(turn: int, member: MemberRoute) -> Iterator[Task]:
    operations = shown_operations(member.route, member.instruction)
    plain = plain_steps(member.route, member.instruction)
    for operation, words in zip(operations, plain, strict=True):
        program = _program_of(operation)
        yield Task(
            id=f"{turn}.{operation.letter}",
            member=member.called,
            letter=operation.letter,
            station=operation.station,
            stage=operation.stage,
            action=operation.action,
            words=words.headline,
            figures=tuple(figure.text for figure in words.figures),
            at_least_s=0.0 if program else _stay_s(operation),
            times=0 if program else _times(operation),
            until=words.until,
            required=operation.condition is None and operation.station not in ELSEWHERE,
            machine=program.id if program else "",
            program=(program.program or program.name) if program else "",
        )


def _program_of(operation: Operation) -> Binding | None:
    """The machine's program that makes a load of it; none where people do it."""
    if operation.station not in _LOADED:
        return None
    return next((one for one in operation.bindings if one.kind is ResourceKind.program), None)


def _stay_s(operation: Operation) -> float:
    """For how long an operation goes on at least, in seconds, where a timer is kept; else 0."""
    stays = [
        one.required.ends("s")[0]
        for one in operation.figures
        if one.required.quantity is FigureQuantity.time and _says_how_long(one.required)
    ]
    stay = max((one for one in stays if math.isfinite(one)), default=0.0)
    return stay if operation.action in _EXPOSURES or stay >= _HANDS_TIMED_FROM_S else 0.0


def _says_how_long(figure: Figure) -> bool:
    return figure.bound is not Bound.at_most and (figure.role or "") not in _NO_STAY


def _times(operation: Operation) -> int:
    if operation.action not in _COUNTED:
        return 0
    counts = [
        one.required.ends()[0]
        for one in operation.figures
        if one.required.quantity is FigureQuantity.counted and _says_how_long(one.required)
    ]
    return math.ceil(max((count for count in counts if math.isfinite(count)), default=0))

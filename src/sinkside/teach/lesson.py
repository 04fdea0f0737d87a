"""A lesson: a device's route station by station, each step with its picture, its why and its hazards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, Literal

from sinkside.instruction import Instruction
from sinkside.instruction.comparison import compare
from sinkside.instruction.pairing import paired_steps
from sinkside.plain import Habits, PlainStep, Template, Voice, plain_step, voice_for
from sinkside.plain.habits import refuse_unknown
from sinkside.plain.names import calm_name
from sinkside.plain.operations import shown_operations
from sinkside.route import Operation, Route, Station
from sinkside.teach.pictures import Picture, Pictures
from sinkside.teach.reasons import About, Reason, reasons_of
from sinkside.teach.same_step import is_same
from sinkside.teach.timing import LONGEST_MIN, minutes_of

#: Places between which one person may go to and fro: soiled, wet, clean and sterile work are kept apart
#: (common practice, no source).
_ZONES: Final = (
    {Station.theatre, Station.transport},
    {Station.sink, Station.ultrasonic, Station.washer},
    {Station.bench, Station.packing},
    {Station.sterilizer, Station.store},
)

#: A part so short, in minutes, takes the next station along, if both stay within the longest.
_SHORT_MIN: Final = 2.0

#: The part of a lesson that holds only what changed.
CHANGES: Final = "changes"


#: What stands before a sentence of each kind.
LABELS: Final[Mapping[About, str]] = {
    About.why: "Why",
    About.hazard: "Take care",
    About.good: "Good",
    About.bad: "Not good",
}
NOTE: Final = "Note here"
LOOK_AGAIN: Final = "Written for an earlier revision: look again"
ABOUT_MINUTES: Final = "about {n} min"


@dataclass(frozen=True)
class Told:
    """A sentence beside a step.

    Attributes:
        reason: the id of what was said, in the catalogue of reasons.
        about: why, what to take care of, what good looks like, what is not good.
        text: in the reader's language.
        beside: in the reference language; empty where that is the reader's.
        whose: whose advice it is and how we came by it, in the reference language.
    """

    reason: str
    about: About
    text: str
    beside: str
    whose: str


@dataclass(frozen=True)
class LessonStep:
    """One step: in plain words, drawn, and with what is to be understood of it.

    `changed` says how it was and is, in the reference language, in a lesson of only what changed.
    """

    plain: PlainStep
    picture: Picture | None = None
    told: tuple[Told, ...] = ()
    changed: tuple[str, ...] = ()

    def of(self, about: About) -> tuple[Told, ...]:
        """What is told of one kind."""
        return tuple(one for one in self.told if one.about is about)


@dataclass(frozen=True)
class LessonPart:
    """A part that is gone through in one go: its id, the stations, the steps, how long it takes."""

    id: str
    stations: tuple[Station, ...]
    steps: tuple[LessonStep, ...]
    minutes: float

    @property
    def title(self) -> str:
        """What it is called: its stations, in the reader's language."""
        return ", ".join(dict.fromkeys(one.plain.station_name for one in self.steps))

    @property
    def step_ids(self) -> tuple[str, ...]:
        """The steps of the instruction that it is about."""
        return tuple(dict.fromkeys(step for one in self.steps for step in one.plain.steps))


@dataclass(frozen=True)
class Lesson:
    """A lesson of one revision, in one language.

    Attributes:
        device: what the device is called.
        revision: of the instruction.
        language: the reader's.
        direction: which way it is read.
        parts: in the order of the work.
        since: of a lesson of only what changed, the revision that was known before; 0 of a whole one.
        gone: of such a lesson, what is no longer done, in plain words.
        labels: what stands before a sentence of each kind, before a note, and before one to be looked at.
        templates: what it was said with; a review of each is asked for before the floor.
    """

    device: str
    revision: int
    language: str
    direction: Literal["ltr", "rtl"]
    parts: tuple[LessonPart, ...]
    since: int = 0
    gone: tuple[str, ...] = ()
    labels: Mapping[str, str] = field(default_factory=dict)
    templates: tuple[Template, ...] = field(default=(), repr=False)

    @property
    def minutes(self) -> float:
        """How long all of it takes."""
        return sum(part.minutes for part in self.parts)


def lesson_of(
    instruction: Instruction, route: Route | None, habits: Habits | None = None, *, revision: int = 0
) -> Lesson:
    """The lesson of a device as it is processed in a department; without a route, as its text has it.

    Raises:
        BadInput: if plain words are not written in the language.
        NotForTheFloor: if a template that is needed has no translation.

    >>> from sinkside.instruction import Device, Step
    >>> brush = Step(id="s1", stage="cleaning", action="brush", on=("jaw",))
    >>> text = Instruction(device=Device(name="Forceps"), steps=(brush,))
    >>> [(part.id, part.steps[0].plain.headline) for part in lesson_of(text, None).parts]
    [('sink', 'Brush the jaw')]
    """
    maker = _Maker(instruction, habits or Habits())
    parts = _parted(maker.steps(shown_operations(route, instruction)))
    return maker.lesson(parts, revision=revision)


def difference_of(
    before: Instruction,
    after: Instruction,
    route: Route | None,
    habits: Habits | None = None,
    *,
    revisions: tuple[int, int] = (0, 0),
) -> Lesson | None:
    """The lesson of only what changed from one revision to another; none where no step did.

    Args:
        before: the text that people know.
        after: the text in force.
        route: the text in force, resolved in a department.
        habits: the reader's language and units.
        revisions: the numbers of both.

    Raises:
        BadInput: if plain words are not written in the language.
        NotForTheFloor: if a template that is needed has no translation.
    """
    changed, gone = changed_steps(before, after)
    if not changed and not gone:
        return None
    reader = habits or Habits()
    maker = _Maker(after, reader)
    operations = [one for one in shown_operations(route, after) if changed & set(one.steps)]
    how = _how_changed(before, after)
    steps = tuple(
        replace(one, changed=tuple(line for step in one.plain.steps for line in how.get(step, ())))
        for one in maker.steps(operations)
    )
    parts = (_part(CHANGES, steps),) if minutes_of(steps) <= LONGEST_MIN else _parted(steps, CHANGES)
    dropped = [one for one in shown_operations(None, before) if gone & set(one.steps)]
    told = tuple(plain_step(one, before, reader) for one in dropped)
    return maker.lesson(parts, revision=revisions[1], since=revisions[0], dropped=told)


def _how_changed(before: Instruction, after: Instruction) -> dict[str, list[str]]:
    """Step by step of a later text how it was and is, in the trade's terms."""
    told: dict[str, list[str]] = {}
    for change in compare(before, after).changes:
        if change.step_after:
            told.setdefault(change.step_after, []).append(change.sentence)
    return told


def changed_steps(before: Instruction, after: Instruction) -> tuple[frozenset[str], frozenset[str]]:
    """Ids of the steps of a later text that are new or changed, and of the earlier one's that are gone.

    >>> from sinkside.instruction import Device, Step
    >>> keep = Step(id="s1", stage="storage", action="store")
    >>> texts = [Instruction(device=Device(name="F"), steps=steps) for steps in ((keep,), ())]
    >>> changed_steps(*texts)
    (frozenset(), frozenset({'s1'}))
    >>> changed_steps(texts[1], texts[0])
    (frozenset({'s1'}), frozenset())
    """
    pairs = paired_steps(before.steps, after.steps)
    changed = {new.id for old, new in pairs if new and not (old and is_same(old, new))}
    gone = {old.id for old, new in pairs if old and new is None}
    return frozenset(changed), frozenset(gone)


@dataclass
class _Maker:
    """Makes the steps of one lesson: in one voice, no picture and no reason twice in a row."""

    instruction: Instruction
    habits: Habits
    voice: Voice = field(init=False)
    _beside: Voice | None = field(init=False)
    _pictures: Pictures = field(init=False)
    _used: dict[Template, None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        refuse_unknown(self.habits.language)
        beside = self.habits.beside()
        self.voice = voice_for(self.instruction, self.habits)
        self._beside = voice_for(self.instruction, beside) if beside else None
        self._pictures = Pictures(self.instruction)

    def steps(self, operations: Sequence[Operation]) -> tuple[LessonStep, ...]:
        """Operations as steps of a lesson; what was said at a station is not said there again."""
        made: list[LessonStep] = []
        said: set[tuple[Station, str]] = set()
        for operation in operations:
            plain = plain_step(operation, self.instruction, self.habits)
            self._used.update(dict.fromkeys(plain.templates))
            found = [
                one
                for one in reasons_of(operation, self.instruction)
                if (operation.station, one.id) not in said
            ]
            said |= {(operation.station, one.id) for one in found}
            told = tuple(self._told(one) for one in found)
            made.append(LessonStep(plain, self._pictures.of(operation), told))
        return tuple(made)

    def lesson(
        self,
        parts: tuple[LessonPart, ...],
        *,
        revision: int,
        since: int = 0,
        dropped: Sequence[PlainStep] = (),
    ) -> Lesson:
        """The lesson that some parts make."""
        for one in dropped:
            self._used.update(dict.fromkeys(one.templates))
        labels = {about.value: self.voice.say(words) for about, words in LABELS.items()}
        labels |= {words: self.voice.say(words) for words in (NOTE, LOOK_AGAIN)}
        return Lesson(
            device=calm_name(self.instruction.device.name),
            revision=revision,
            language=self.habits.language,
            direction=self.habits.direction,
            parts=parts,
            since=since,
            gone=tuple(one.headline for one in dropped),
            labels=labels,
            templates=tuple(dict.fromkeys((*self.voice.used, *self._used))),
        )

    def _told(self, reason: Reason) -> Told:
        beside = self._beside.say(reason.text) if self._beside else ""
        return Told(reason.id, reason.about, self.voice.say(reason.text), beside, reason.whose)


def _parted(steps: Sequence[LessonStep], called: str = "") -> tuple[LessonPart, ...]:
    """Steps in parts: one station or a few short ones that follow each other, never over the longest.

    They are called by their first stations, unless told how.
    """
    groups: list[list[LessonStep]] = []
    for step in steps:
        if groups and _goes_along(groups[-1], step):
            groups[-1].append(step)
        else:
            groups.append([step])
    names: dict[str, int] = {}
    parts = []
    for group in groups:
        name = called or group[0].plain.station.value
        names[name] = names.get(name, 0) + 1
        parts.append(_part(name if names[name] == 1 else f"{name}-{names[name]}", group))
    return tuple(parts)


def _goes_along(group: Sequence[LessonStep], step: LessonStep) -> bool:
    if minutes_of((*group, step)) > LONGEST_MIN:
        return False
    here, there = group[-1].plain.station, step.plain.station
    is_near = any({here, there} <= zone for zone in _ZONES)
    return here is there or (is_near and minutes_of(group) < _SHORT_MIN)


def _part(name: str, steps: Sequence[LessonStep]) -> LessonPart:
    stations = tuple(dict.fromkeys(one.plain.station for one in steps))
    shown = _without_repeats(steps)
    return LessonPart(name, stations, shown, minutes_of(shown))


def _without_repeats(steps: Sequence[LessonStep]) -> tuple[LessonStep, ...]:
    """The steps of a part without pictures of the state that was shown just before, at another station."""
    shown: list[LessonStep] = []
    state = ""
    for step in steps:
        is_again = step.picture is not None and step.picture.state == state
        shown.append(replace(step, picture=None) if is_again else step)
        state = step.picture.state if step.picture else state
    return tuple(shown)

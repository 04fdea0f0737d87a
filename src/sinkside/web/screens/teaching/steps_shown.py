"""A step of a lesson as pages show it: words, figures, picture, reasons, and what was noted beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sinkside.aids.papers.rows import details_of, split
from sinkside.desk.lesson_note_documents import SeenNotes, ShownNote
from sinkside.plain import PlainFigure
from sinkside.teach.lesson import Lesson, LessonStep
from sinkside.teach.reasons import About
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment


@dataclass(frozen=True)
class ToldShown:
    """A sentence beside a step: its label, the sentence, the reference beside it, and whose advice it is."""

    label: str
    text: str
    beside: str
    whose: str


@dataclass(frozen=True)
class FigureShown:
    """A figure: the number large, its unit small, what it is of and what it must lie in below."""

    number: str
    unit: str
    below: str


@dataclass(frozen=True)
class PhaseShown:
    """A phase of a machine's program, with its figures."""

    name: str
    figures: tuple[FigureShown, ...]


@dataclass(frozen=True)
class NoteShown:
    """What was noted beside a step, by whom and when; `label` asks to look again where it was changed."""

    label: str
    text: str
    photo: str
    by: str
    to_look_at: bool


@dataclass(frozen=True)
class StepShown:
    """A step of a lesson.

    Attributes:
        id: of the step in the instruction.
        letter: its letter on the route.
        station: where it is done.
        headline: one short sentence.
        beside: the same in the reference language; empty where that is the reader's.
        details: what belongs to it, one thing a line.
        figures: its figures, unless they stand by phase.
        phases: of a machine's program.
        cautions: of the maker's text.
        picture: the device drawn in its positions; empty where that says nothing new.
        picture_words: the same in words.
        told: why it is done, and what to take care of.
        looks: what good and bad look like.
        changed: how it was and is, in a lesson of only what changed.
        note: what was noted beside it.
        note_form: where a note is written; empty for whoever may not.
    """

    id: str
    letter: str
    station: str
    headline: str
    beside: str
    details: tuple[str, ...]
    figures: tuple[FigureShown, ...]
    phases: tuple[PhaseShown, ...]
    cautions: tuple[str, ...]
    picture: str
    picture_words: str
    told: tuple[ToldShown, ...]
    looks: tuple[ToldShown, ...]
    changed: tuple[str, ...]
    note: NoteShown | None
    note_form: str


def step_shown(
    asked: Asked, lesson: Lesson, step: LessonStep, notes: SeenNotes, names: Mapping[str, str], *, at: str
) -> StepShown:
    """A step as a page shows it.

    Args:
        asked: who asks.
        lesson: of which it is.
        step: which.
        notes: what is noted beside the steps.
        names: of those who noted it.
        at: the address of the lesson.
    """
    plain = step.plain
    is_rtl = plain.direction == "rtl"
    reference = plain.reference.headline if plain.reference else ""
    first = plain.steps[0] if plain.steps else ""
    own = next((one for one in plain.steps if one in notes.by_step), first)
    note = notes.by_step.get(own)
    may_edit = asked.visitor.may("lesson-edit") and bool(own)
    return StepShown(
        id=own,
        letter=plain.letter,
        station=plain.station_name,
        headline=plain.headline,
        beside=reference if reference != plain.headline else "",
        details=tuple(details_of(plain)),
        figures=() if plain.phases else tuple(figure_shown(one, is_rtl=is_rtl) for one in plain.figures),
        phases=tuple(
            PhaseShown(phase.name, tuple(figure_shown(one, is_rtl=is_rtl) for one in phase.figures))
            for phase in plain.phases
        ),
        cautions=plain.cautions,
        picture=step.picture.svg if step.picture else "",
        picture_words=step.picture.words if step.picture else "",
        told=_told(lesson, step, About.why, About.hazard),
        looks=_told(lesson, step, About.good, About.bad),
        changed=step.changed,
        note=_note(asked, lesson, note, names, at) if note else None,
        note_form=f"{at}/notes/{own}" if may_edit else "",
    )


def _told(lesson: Lesson, step: LessonStep, *about: About) -> tuple[ToldShown, ...]:
    return tuple(
        ToldShown(lesson.labels[one.about.value], one.text, one.beside, one.whose)
        for kind in about
        for one in step.of(kind)
    )


def figure_shown(figure: PlainFigure, *, is_rtl: bool = False) -> FigureShown:
    """A figure as a page shows it."""
    number, unit = split(figure, is_rtl=is_rtl)
    if is_rtl:
        unit = f"{unit} {figure.bound_word}".strip()
    below = ", ".join(filter(None, (figure.label, figure.must, figure.makers)))
    return FigureShown(number, unit, below)


def _note(asked: Asked, lesson: Lesson, shown: ShownNote, names: Mapping[str, str], at: str) -> NoteShown:
    note = shown.note
    label = "Written for an earlier revision: look again" if shown.to_look_at else "Note here"
    return NoteShown(
        label=lesson.labels[label],
        text=note.text,
        photo=f"{at}/photos/{note.photo}" if note.photo else "",
        by=f"{names.get(note.by, note.by)}, {shown_moment(note.at, asked.visitor.zone)}",
        to_look_at=shown.to_look_at,
    )

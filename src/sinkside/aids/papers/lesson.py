"""The lesson as a handout: each station's steps, drawn, with why they are done and what good looks like."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from sinkside.aids.papers import blocks
from sinkside.aids.papers.drawings import Drawings
from sinkside.aids.papers.heads import head, open_stops
from sinkside.aids.papers.request import NoteBeside, PaperRequest
from sinkside.aids.papers.rows import RowMaker
from sinkside.aids.papers.setting import Values
from sinkside.aids.papers.speaking import Speaker
from sinkside.plain.operations import shown_operations
from sinkside.route import Operation
from sinkside.teach.lesson import ABOUT_MINUTES, LABELS, LOOK_AGAIN, NOTE, Lesson, LessonPart, lesson_of

_DRAWING_MM: Final = 58.0


def lesson_sheet(request: PaperRequest, speaker: Speaker) -> Values:
    """The lesson of a device, part by part, with whose advice each reason is at its end.

    Raises:
        NotForTheFloor: if a template has no translation.
    """
    instruction = request.instruction
    lesson = lesson_of(instruction, request.route, request.habits)
    operations = {one.letter: one for one in shown_operations(request.route, instruction)}
    drawings = Drawings(instruction, width_mm=_DRAWING_MM * request.sheet.type_scale)
    maker = RowMaker(speaker, drawings)
    shown: list[Values] = [blocks.line()]
    for number, part in enumerate(lesson.parts, 1):
        shown += _part(number, part, operations, maker, request.notes)
    return {
        **head(request, speaker, tuple(operations.values())),
        "stops": open_stops(request, speaker),
        "blocks": [*shown, *_sources(lesson, speaker)],
    }


def _part(
    number: int,
    part: LessonPart,
    operations: Mapping[str, Operation],
    maker: RowMaker,
    notes: Sequence[NoteBeside],
) -> Iterator[Values]:
    """One part: its stations, how long it takes, its rows, and below each what is to be understood of it."""
    speaker = maker.speaker
    stations = ", ".join(speaker.station(one) for one in part.stations)
    minutes = speaker.say(ABOUT_MINUTES, n=max(1, round(part.minutes)))
    yield blocks.section(f"{number}  {stations}", minutes)
    of_letter = {step.plain.letter: step for step in part.steps}
    for row in maker.rows([operations[letter] for letter in of_letter]):
        yield blocks.rows([row])
        letters = (row["letter"], *(one["letter"] for one in row["attached"]))
        said = {told.reason: told for letter in letters for told in of_letter[letter].told}
        steps = {step for letter in letters for step in of_letter[letter].plain.steps}
        yield blocks.told(
            (
                speaker.say(LABELS[one.about]),
                speaker.say(one.beside or one.text),
                speaker.voice.isolated(one.beside),
            )
            for one in said.values()
        )
        yield blocks.told(
            (speaker.say(LOOK_AGAIN if note.is_old else NOTE), speaker.voice.isolated(note.text), "")
            for note in notes
            if note.step in steps
        )


def _sources(lesson: Lesson, speaker: Speaker) -> Sequence[Values]:
    """Whose advice the reasons are, and how each was come by."""
    told = [one for part in lesson.parts for step in part.steps for one in step.told]
    if not told:
        return ()
    whose = dict.fromkeys(one.whose for one in told)
    return blocks.section(speaker.say("Whose advice")), blocks.sentences(map(blocks.Said, whose))

"""One paper's language: its own words, its steps, its names, and every template that it was said with."""

from __future__ import annotations

from collections.abc import Iterable

from sinkside.aids.papers.makers_marks import MakersMarks
from sinkside.aids.papers.request import PaperRequest
from sinkside.instruction import Instruction
from sinkside.plain import PlainFigure, PlainStep, Template, Voice, plain_step, voice_for
from sinkside.plain.habits import refuse_unknown
from sinkside.plain.operations import STATION_LABELS
from sinkside.plain.voice import left_to_right
from sinkside.plain.wording import thing_name
from sinkside.route import Operation, Station


class Speaker:
    """Says everything on one paper.

    Raises:
        BadInput: if plain words are not written in the language.
    """

    def __init__(self, request: PaperRequest) -> None:
        refuse_unknown(request.language)
        self.instruction: Instruction = request.instruction
        self.voice: Voice = voice_for(request.instruction, request.habits)
        self._habits = request.habits
        self._steps: dict[Template, None] = {}
        self._marks = MakersMarks(request.instruction, request.route)

    @property
    def language(self) -> str:
        """The reader's language."""
        return self._habits.language

    @property
    def direction(self) -> str:
        """Which way it is read."""
        return self._habits.direction

    @property
    def is_rtl(self) -> bool:
        """Whether it is read from right to left."""
        return self._habits.direction == "rtl"

    def figure(self, figure: PlainFigure) -> str:
        """A figure on one line: in signs, or in words where signs would be mirrored."""
        return left_to_right(figure.text) if self.is_rtl else figure.short

    @property
    def templates(self) -> tuple[Template, ...]:
        """Every template that was said so far."""
        return tuple(dict.fromkeys((*self.voice.used, *self._steps)))

    def say(self, english: str, /, **values: object) -> str:
        """A template in the reader's language.

        Raises:
            NotForTheFloor: if it has no translation.
        """
        return self.voice.say(english, **values)

    def quote(self, words: str) -> str:
        """The maker's words, marked as such where they are in another language; the maker's marks told."""
        quoted, told = self.voice.quote(words), self.marks((words,))
        return f"{quoted} ({told})" if told else quoted

    def marks(self, texts: Iterable[str]) -> str:
        """Which of our letters the maker's marks of steps in some words are; nothing where there is none.

        Raises:
            NotForTheFloor: if a template has no translation.
        """
        return self._marks.told(texts, self.say)

    def step(self, operation: Operation) -> PlainStep:
        """An operation in plain words.

        Raises:
            NotForTheFloor: if a template has no translation.
        """
        step = plain_step(operation, self.instruction, self._habits)
        self._steps.update(dict.fromkeys(step.templates))
        if step.reference is not None:
            self._steps.update(dict.fromkeys(step.reference.templates))
        return step

    def station(self, station: Station) -> str:
        """What people call a station."""
        return self.say(STATION_LABELS[station])

    def thing(self, thing: str) -> str:
        """What a part or feature is called."""
        return thing_name(thing, self.instruction, self.voice)

    def place(self, page: int, line: int) -> str:
        """Where in the maker's text something stands."""
        return self.say("page {page}, line {line}", page=page, line=line)

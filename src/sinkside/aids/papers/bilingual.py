"""Forms and labels in the reader's language, with the reference language beside whatever we say."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from sinkside.aids.papers.refusals import refuse_open_stops
from sinkside.aids.papers.setting import Values
from sinkside.findings import Finding
from sinkside.language import REFERENCE_LANGUAGE
from sinkside.plain import Glossary, Habits, Template, Voice, figure_words, used_by
from sinkside.plain.habits import refuse_unknown
from sinkside.plain.reviewing import refuse_unreviewed, unreviewed
from sinkside.plain.voice import voice_of
from sinkside.quantities.figure import FigureValue

#: Something that each language says in its own way, such as a figure.
Tell = Callable[[Voice], str]


@dataclass(frozen=True)
class Readers:
    """For whom a form or label is.

    Attributes:
        languages: the reader's, and the one that stands beside any other than itself; English unless told.
        glossary: the department's own names for things.
        reviewed: digests of the templates that somebody in the house has reviewed, in other languages.
        proof: print it in spite of open stops and words that nobody reviewed, loudly marked.

    Raises:
        BadInput: if plain words are not written in one of the languages.
    """

    languages: tuple[str, ...] = (REFERENCE_LANGUAGE,)
    glossary: Glossary = field(default_factory=Glossary)
    reviewed: frozenset[str] = frozenset()
    proof: bool = False

    def __post_init__(self) -> None:
        for language in self.languages:
            refuse_unknown(language)

    @property
    def habits(self) -> Habits:
        """How the reader reads."""
        reference = (*self.languages, REFERENCE_LANGUAGE)[1]
        return Habits(language=self.languages[0], glossary=self.glossary, reference=reference)


class Bilingual:
    """Says everything on one form or label, in both of its languages."""

    def __init__(self, readers: Readers) -> None:
        self._readers = readers
        self._habits = readers.habits
        beside = self._habits.beside()
        self.voice = voice_of(self._habits)
        self._beside = voice_of(beside) if beside else None

    @property
    def templates(self) -> tuple[Template, ...]:
        """Every template that was said so far, in either language."""
        return used_by(voice for voice in (self.voice, self._beside) if voice)

    def say(self, english: str, /, **values: object) -> str:
        """A template in the reader's language alone, for what has no room for two.

        Raises:
            NotForTheFloor: if it has no translation.
        """
        return self.voice.say(english, **values)

    def both(self, english: str, /, **values: object) -> Values:
        """A template in the reader's language, and beside it in the other where that says something else.

        A value may be told by each language in its own way.

        Raises:
            NotForTheFloor: if it has no translation.

        >>> Bilingual(Readers(("de",))).both("Before use")
        {'text': 'Vor dem Gebrauch', 'beside': 'Before use'}
        """
        return self.both_told(lambda voice: voice.say(english, **_told(values, voice)))

    def both_told(self, tell: Tell) -> Values:
        """What each language says in its own way; nothing beside where both say the same."""
        text = tell(self.voice)
        beside = tell(self._beside) if self._beside else ""
        return {"text": text, "beside": "" if beside == text else beside}

    def name(self, words: str) -> str:
        """A name as it is written, or as the department's glossary has it."""
        return self.voice.isolated(self.voice.name(words))

    def settled(
        self, content: Values, *, stops: Sequence[Finding] = (), where: str = "", resource: str
    ) -> Values:
        """The content with its languages, and marked as a proof; refused where it must not reach the floor.

        Args:
            content: everything else that the template sets.
            stops: what is open.
            where: in what.
            resource: what the paper is of.

        Raises:
            NotForTheFloor: unless it is a proof, while stops are open or nobody reviewed its words.
        """
        if not self._readers.proof:
            refuse_open_stops(stops, where, resource=resource)
            refuse_unreviewed(self.templates, self._readers.reviewed, resource=resource)
        return {
            **content,
            "language": self._habits.language,
            "direction": self._habits.direction,
            "reference": self._habits.reference,
            "band": self._band(stops),
        }

    def _band(self, stops: Sequence[Finding]) -> Values:
        """What a proof is not; nothing on a paper for the floor."""
        if not self._readers.proof:
            return {"kind": "", "text": "", "note": ""}
        if stops:
            note = self.say("{n} stop open" if len(stops) == 1 else "{n} stops open", n=len(stops))
        elif unreviewed(self.templates, self._readers.reviewed):
            note = self.say("words not reviewed")
        else:
            note = self.say("proof")
        return {"kind": "stop", "text": self.say("NOT FOR THE FLOOR"), "note": note}


def figure_told(figure: FigureValue) -> Tell:
    """A figure as each language writes it."""
    return lambda voice: figure_words(figure, voice)


def _told(values: dict[str, object], voice: Voice) -> dict[str, object]:
    return {name: value(voice) if callable(value) else value for name, value in values.items()}

"""One reader's language: says templates in it, keeps which were used, and refuses what has no translation."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from hashlib import sha256

from sinkside.errors import NotForTheFloor
from sinkside.instruction import Instruction
from sinkside.language import REFERENCE_LANGUAGE, catalogue, filled, locale_of
from sinkside.plain.counted import ENGLISH_ONE
from sinkside.plain.habits import Habits

#: The folder of the catalogues that hold the templates of plain words.
COLLECTION = "plain"

#: Marks round words of another direction, so that signs beside them stay where they belong (Unicode Standard
#: Annex 9, 2.4: FIRST STRONG ISOLATE, POP DIRECTIONAL ISOLATE; clause from memory).
ISOLATE, ISOLATE_ENDS = "\u2068", "\u2069"

#: Marks round a number that is read from left to right whatever stands beside it (Unicode Standard Annex 9,
#: 2.4: LEFT-TO-RIGHT ISOLATE, POP DIRECTIONAL ISOLATE; clause from memory).
_LTR, _LTR_ENDS = "\u2066", "\u2069"
_RANGE = re.compile(r"\d[\d.,\u00a0\u202f]*[–-]\d[\d.,\u00a0\u202f]*\d|\d[–-]\d")


@dataclass(frozen=True)
class Template:
    """A text of ours in the reference language and in one other, and for which plural it stands.

    >>> Template("pl", "Dry it", "Osusz").digest == Template("pl", "Dry it", "Wysusz").digest
    False
    """

    language: str
    english: str
    text: str
    plural: str = ""

    @property
    def digest(self) -> str:
        """What a review binds to: a change of either text gives another."""
        return sha256("\0".join(self._told).encode()).hexdigest()

    @property
    def _told(self) -> tuple[str, ...]:
        return (self.language, self.plural, self.english, self.text)


@dataclass(frozen=True)
class Voice:
    """Says things in one reader's language.

    Args:
        habits: the reader's language, units and names.
        written_in: the language that the maker's text is written in.
        phrases: what names and sentences of the text are called in that language, by the words folded.

    >>> Voice(Habits()).say("Flush the {on}", on=["port", "lumen"])
    'Flush the port and lumen'
    """

    habits: Habits = field(default_factory=Habits)
    written_in: str = REFERENCE_LANGUAGE
    phrases: Mapping[str, str] = field(default_factory=dict)
    _used: dict[Template, None] = field(default_factory=dict)

    @property
    def language(self) -> str:
        """The language that is spoken."""
        return self.habits.language

    @property
    def used(self) -> tuple[Template, ...]:
        """Every template that was said, each once, in the order of its first use."""
        return tuple(self._used)

    @property
    def is_foreign(self) -> bool:
        """Whether the maker's text is in another language than the reader's."""
        return self.written_in.partition("-")[0] != self.language.partition("-")[0]

    @property
    def stop(self) -> str:
        """What stands between two sentences; Chinese has a stop of its own, and no space after it."""
        return "。" if self.language.partition("-")[0] == "zh" else ". "

    def say(self, english: str, /, **values: object) -> str:
        """A template with its values, in the reader's language; an empty one says nothing.

        Raises:
            NotForTheFloor: if the template has no translation.
            SinksideError: if a field has no value.
        """
        if not english:
            return ""
        isolated = {name: self._isolated(value) for name, value in values.items()}
        return filled(self._text(english), isolated, self.language, template=english)

    def counted(self, words: str, number: float) -> str:
        """What is counted, in the plural that a number asks for by CLDR's rules.

        Raises:
            NotForTheFloor: if that plural has no translation.

        >>> Voice(Habits()).counted("strokes", 1), Voice(Habits(language="pl")).counted("strokes", 3)
        ('stroke', 'pociągnięcia')
        """
        plural = locale_of(self.language).plural_form(Decimal(repr(float(number))).normalize())
        if self.language == REFERENCE_LANGUAGE:
            return ENGLISH_ONE.get(words, words) if plural == "one" else words
        return self._text(words, plural)

    def name(self, words: str) -> str:
        """A name or sentence of the text in the reader's language, if anybody has told it."""
        return self.phrases.get(folded(words), words)

    def quote(self, words: str) -> str:
        """Words of the maker as they stand; in quotation marks where they are in another language."""
        known = self.phrases.get(folded(words))
        if known is not None or not self.is_foreign:
            return known or words
        return self.isolated(f"“{words}”")

    def isolated(self, text: str) -> str:
        """A text that keeps its own direction between words that are read from right to left."""
        return f"{ISOLATE}{text}{ISOLATE_ENDS}" if self.habits.direction == "rtl" and text else text

    def _isolated(self, value: object) -> object:
        """A value of a template, isolated; one that is already is left alone."""
        if isinstance(value, (list, tuple)):
            return [self._isolated(item) for item in value]
        if isinstance(value, str) and ISOLATE not in value:
            return self.isolated(value)
        return value

    def _text(self, english: str, plural: str = "") -> str:
        if self.language == REFERENCE_LANGUAGE:
            text = english
        else:
            found = catalogue(self.language, COLLECTION).found(english, plural)
            if found is None:
                raise NotForTheFloor(
                    f"“{english}” has no translation in {self.habits.language_name}", resource=self.language
                )
            text = found.text
        self._used[Template(self.language, english, text, plural)] = None
        return text


def voice_for(instruction: Instruction, habits: Habits) -> Voice:
    """A voice that knows what an instruction's document and the department's glossary translate.

    Raises:
        BadInput: if the language is unknown.
    """
    own = {
        passage.beside.text: passage.origin.text
        for translation in instruction.translations
        if translation.language == habits.language
        for passage in translation.passages
        if passage.beside is not None
    }
    return voice_of(habits, written_in=instruction.device.document.language, phrases=own)


def voice_of(
    habits: Habits, *, written_in: str = REFERENCE_LANGUAGE, phrases: Mapping[str, str] | None = None
) -> Voice:
    """A voice that knows the department's glossary, and some phrases where it has none of its own."""
    known = {**(phrases or {}), **habits.glossary.of(habits.language)}
    return Voice(
        habits, written_in=written_in, phrases={folded(words): text for words, text in known.items()}
    )


def folded(words: str) -> str:
    """Words without what does not tell them apart: case, space, a stop at the end.

    >>> folded("  The  Lock screw. ")
    'the lock screw'
    """
    return " ".join(words.split()).rstrip(".").casefold()


def used_by(voices: Iterable[Voice]) -> tuple[Template, ...]:
    """Every template that some voices said, each once."""
    return tuple(dict.fromkeys(template for voice in voices for template in voice.used))


def left_to_right(text: str) -> str:
    r"""A text whose ranges keep their lower end on the left, as a machine's display has it.

    >>> left_to_right("30–40 °C")
    '\u206630–40\u2069 °C'
    """
    return _RANGE.sub(lambda found: f"{_LTR}{found[0]}{_LTR_ENDS}", text)

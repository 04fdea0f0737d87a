"""A sentence kept as template and values, and rendered only when somebody reads it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sinkside.language import render


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words with values in them; values may be phrases themselves, alone or listed.

    >>> Phrase("The bath runs at {frequency}.", {"frequency": Phrase("40 kHz")}).text()
    'The bath runs at 40 kHz.'
    """

    template: str
    values: Mapping[str, object] = field(default_factory=dict)

    def text(self, language: str = "en") -> str:
        """The words in a language.

        Raises:
            BadInput: if the language is unknown.
        """
        return render(
            self.template, {name: _said(value, language) for name, value in self.values.items()}, language
        )


@dataclass(frozen=True, slots=True)
class Together:
    """Phrases side by side, with a comma between unless told."""

    phrases: tuple[Phrase | Together, ...]
    between: str = ", "

    def text(self, language: str = "en") -> str:
        """The words in a language."""
        return self.between.join(phrase.text(language) for phrase in self.phrases)


Words = Phrase | Together


def _said(value: object, language: str) -> object:
    return value.text(language) if isinstance(value, Phrase | Together) else value

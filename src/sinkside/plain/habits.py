"""How a department wants its papers: language, units, and its own names for things."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import Field

from sinkside.documents import Value
from sinkside.errors import BadInput
from sinkside.language import REFERENCE_LANGUAGE, locale_of

#: Languages that plain words are written in, by their own name; English is the reference.
LANGUAGES: Mapping[str, str] = {
    "en": "English",
    "de": "Deutsch",
    "fr": "Français",
    "es": "Español",
    "pl": "Polski",
    "vi": "Tiếng Việt",
    "ar": "العربية",
    "zh": "简体中文",
}


class Units(Value):
    """The units that people here read; empty leaves the maker's own.

    Attributes:
        temperature: the unit of temperatures; differences of temperature stay as the maker has them.
        pressure: the unit of pressures.
    """

    temperature: Literal["", "°C", "°F"] = ""
    pressure: Literal["", "bar", "kPa", "mbar", "psi"] = ""


class Glossary(Value):
    """A department's own words (`sinkside/glossary-1`): by language, what a name of a text is called here.

    Names of parts and sentences of a maker stay as written where no entry stands for them.
    """

    format: Literal["sinkside/glossary-1"] = "sinkside/glossary-1"
    words: dict[str, dict[str, str]] = Field(default={})

    def of(self, language: str) -> Mapping[str, str]:
        """The entries of one language.

        >>> Glossary(words={"pl": {"lock screw": "śruba blokująca"}}).of("pl")["lock screw"]
        'śruba blokująca'
        """
        return self.words.get(language, {})


class Habits(Value):
    """Language, units and names of a paper's reader.

    Attributes:
        language: the language's code.
        units: the units that people read.
        glossary: the department's own names.
        reference: the language that stands beside any other.
    """

    language: str = REFERENCE_LANGUAGE
    units: Units = Units()
    glossary: Glossary = Glossary()
    reference: str = REFERENCE_LANGUAGE

    @property
    def direction(self) -> Literal["ltr", "rtl"]:
        """Which way the language is read.

        >>> Habits(language="ar").direction, Habits(language="pl").direction
        ('rtl', 'ltr')
        """
        return "rtl" if locale_of(self.language).text_direction == "rtl" else "ltr"

    @property
    def language_name(self) -> str:
        """The language's English name, as a refusal calls it."""
        return str(locale_of(self.language).get_display_name("en"))

    def beside(self) -> Habits | None:
        """The habits of the text beside: the same in the reference language; none for itself."""
        if self.language == self.reference:
            return None
        return self.model_copy(update={"language": self.reference})


def refuse_unknown(language: str) -> None:
    """Refuse a language that plain words are not written in.

    Raises:
        BadInput: naming those that they are.
    """
    if language not in LANGUAGES:
        raise BadInput(
            f"there is no language '{language}' here; expected one of {', '.join(LANGUAGES)}",
            resource="language",
        )

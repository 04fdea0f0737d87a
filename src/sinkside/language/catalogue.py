"""Catalogues of messages: English text is the key, other languages come from `.po` files.

A message that has no translation stays English and says so; one that a translator has not confirmed
(gettext's "fuzzy") is used but counts as unreviewed, so that paper for the floor can refuse it.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib import resources
from typing import IO

from sinkside.errors import BadInput

REFERENCE_LANGUAGE = "en"
_FOLDER = "catalogues"


@dataclass(frozen=True)
class Message:
    """A message in some language, and whether a person has confirmed it there."""

    text: str
    reviewed: bool


@dataclass(frozen=True)
class Catalogue:
    """The messages of one language, by their English text.

    >>> german = Catalogue("de", {"Open the jaw.": Message("Maul öffnen.", reviewed=True)})
    >>> german.message("Open the jaw.").text
    'Maul öffnen.'
    >>> german.message("Close the jaw.")
    Message(text='Close the jaw.', reviewed=False)
    """

    language: str
    messages: Mapping[str, Message] = field(default_factory=dict)

    def message(self, english: str) -> Message:
        """The message in this language; English, and unreviewed, where it is missing."""
        if self.language == REFERENCE_LANGUAGE:
            return Message(english, reviewed=True)
        return self.messages.get(english, Message(english, reviewed=False))


def read_catalogue(stream: IO[bytes], language: str) -> Catalogue:
    """The catalogue that a `.po` file holds.

    Raises:
        BadInput: if the file is no `.po` file.
    """
    from babel.messages.pofile import PoFileError, read_po

    try:
        entries = read_po(stream, abort_invalid=True)
    except (PoFileError, UnicodeDecodeError) as error:
        raise BadInput(f"this is no .po file: {error}", resource=language) from error
    messages = {
        entry.id: Message(entry.string, reviewed=not entry.fuzzy)
        for entry in entries
        if isinstance(entry.id, str) and isinstance(entry.string, str) and entry.id and entry.string
    }
    return Catalogue(language, messages)


@functools.cache
def catalogue(language: str) -> Catalogue:
    """The catalogue of a language that comes with Sinkside; an empty one where there is none.

    >>> catalogue("en").message("Open the jaw.").reviewed
    True
    """
    if language == REFERENCE_LANGUAGE:
        return Catalogue(language)
    file = resources.files("sinkside.language").joinpath(_FOLDER, f"{language}.po")
    if not language.replace("-", "").isalnum() or not file.is_file():
        return Catalogue(language)
    with file.open("rb") as stream:
        return read_catalogue(stream, language)

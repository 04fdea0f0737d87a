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

#: What stands between a context and its message (GNU gettext manual, "MO Files"; from memory).
_CONTEXT_ENDS = "\x04"


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

    def found(self, english: str, context: str = "") -> Message | None:
        """The message that the catalogue itself holds, under a context where one is told; else none."""
        return self.messages.get(key_of(english, context))


def key_of(english: str, context: str = "") -> str:
    r"""Under which key a message stands: with its context before it, as gettext's own files join the two.

    >>> key_of("strokes", "few")
    'few\x04strokes'
    """
    return f"{context}{_CONTEXT_ENDS}{english}" if context else english


def split_key(key: str) -> tuple[str, str]:
    r"""The context and the English of a key; the context is empty where there is none.

    >>> split_key(key_of("strokes", "few"))
    ('few', 'strokes')
    """
    context, _, english = key.rpartition(_CONTEXT_ENDS)
    return context, english


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
        key_of(entry.id, entry.context or ""): Message(entry.string, reviewed=not entry.fuzzy)
        for entry in entries
        if isinstance(entry.id, str) and isinstance(entry.string, str) and entry.id and entry.string
    }
    return Catalogue(language, messages)


@functools.cache
def catalogue(language: str, collection: str = "") -> Catalogue:
    """The catalogue of a language that comes with Sinkside; an empty one where there is none.

    Args:
        language: the language's code.
        collection: the folder that it stands in; letters and findings need none.

    >>> catalogue("en").message("Open the jaw.").reviewed
    True
    """
    if language == REFERENCE_LANGUAGE:
        return Catalogue(language)
    file = resources.files("sinkside.language").joinpath(_FOLDER, collection, f"{language}.po")
    if not language.replace("-", "").isalnum() or not file.is_file():
        return Catalogue(language)
    with file.open("rb") as stream:
        return read_catalogue(stream, language)

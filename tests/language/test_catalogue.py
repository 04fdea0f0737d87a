"""Catalogues of messages."""

from __future__ import annotations

import io

import pytest

from sinkside.errors import BadInput
from sinkside.language import Message, catalogue, read_catalogue

GERMAN = """
msgid ""
msgstr ""
"Content-Type: text/plain; charset=utf-8\\n"

msgid "Open the jaw."
msgstr "Maul öffnen."

#, fuzzy
msgid "Rinse {volume}."
msgstr "Mit {volume} spülen."

msgid "Close the port."
msgstr ""
"""


@pytest.mark.parametrize(
    ("english", "message"),
    [
        ("Open the jaw.", Message("Maul öffnen.", reviewed=True)),
        ("Rinse {volume}.", Message("Mit {volume} spülen.", reviewed=False)),
        ("Close the port.", Message("Close the port.", reviewed=False)),
        ("Not in the file.", Message("Not in the file.", reviewed=False)),
    ],
)
def test_messages_of_a_po_file(english: str, message: Message) -> None:
    """A confirmed translation is reviewed; an unconfirmed or missing one is not, so no paper can hide it."""
    assert read_catalogue(io.BytesIO(GERMAN.encode()), "de").message(english) == message


def test_english_is_the_reference() -> None:
    """Every English message is itself and reviewed."""
    assert catalogue("en").message("Anything.") == Message("Anything.", reviewed=True)


def test_a_language_without_catalogue_has_nothing_reviewed() -> None:
    """A language nobody has translated yet gives English, marked as unreviewed."""
    assert catalogue("vi").message("Open the jaw.") == Message("Open the jaw.", reviewed=False)


@pytest.mark.parametrize("content", [b"no po file at all", b"\xff\xfe\x00"])
def test_a_broken_file_is_refused(content: bytes) -> None:
    """A file that is no catalogue is an error in words."""
    with pytest.raises(BadInput, match=r"this is no \.po file"):
        read_catalogue(io.BytesIO(content), "de")

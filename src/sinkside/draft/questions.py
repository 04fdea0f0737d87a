"""Questions that head their answers: 'How do I clean it by hand?', 'Q3. What about the washer?'."""

from __future__ import annotations

import re

from sinkside.draft.blocks import Block

_MOST_WORDS = 22
_LEAST_WORDS = 2
#: "Q:", "Q 3.", "Question 4 –"
_LABEL = re.compile(r"^(?:Q|Question|Frage|F|P|Pregunta)\s*\d{0,2}\s*[.:)–-]\s+")
_ANSWER = re.compile(r"^(?:A|Answer|Antwort|R|Réponse|Respuesta)\s*\d{0,2}\s*[.:)–-]\s+(?=[A-ZÄÖÜÉÀ])")


def is_question(block: Block, text: str) -> bool:
    """Whether a paragraph is nothing but a question, as heads the answers below it."""
    asked = text.rstrip().endswith("?") and not re.search(r"[→>]", text)
    whole = _LEAST_WORDS <= len(text.split()) <= _MOST_WORDS
    return asked and whole and not block.bullet and (block.gap_before or _LABEL.match(text) is not None)


def without_label(text: str) -> str:
    """A question or answer without the letter that says so.

    >>> without_label("Q3: How is it dried?"), without_label("A: Blow it dry."), without_label("A tray")
    ('How is it dried?', 'Blow it dry.', 'A tray')
    """
    return _ANSWER.sub("", _LABEL.sub("", text))

"""An instruction in another language, word by word in the English that the senses hear.

Rules judge by structure and by words, and the words are English ones. A text in German, French or Spanish
is judged by its gloss: known words put into English where they stand, unknown words and figures left alone.
A gloss is heard by rules and never shown: what a finding quotes is what the document prints.
"""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

from sinkside.instruction import Instruction
from sinkside.instruction.document import WORDS_IN_AN_ORIGIN, Translated, Translation
from sinkside.review.spelling import Spellings

#: The languages that have a gloss.
GLOSSED = ("de", "es", "fr")

#: Each gloss stands in nine files: figures, words of every text, work, states, contradictions, gaps, moments.
PARTS = ("_figures", "_more", "", "_work", "_beside", "_left", "_against", "_gaps", "_state")

_GLOSSED_FIELDS = frozenset(
    {
        "text",
        "name",
        "title",
        "as_written",
        "with",
        "until",
        "condition",
        "heading",
        "cautions",
        "limits",
        "materials",
    }
)
_ELIDED = re.compile(r"\b([cdjlmnst]|qu|jusqu|lorsqu)['\u2019](?=\w)", re.IGNORECASE)
_BEGINS = re.compile(r"(?:^|[.!?:|]\s*)$")


@dataclass(frozen=True)
class Glossed:
    """An instruction in English words, and what stood in the document for each of them."""

    instruction: Instruction
    printed: Mapping[str, str]


def glossed(instruction: Instruction) -> Glossed:
    """An instruction by its gloss; in a language without one it stays as it is."""
    language = instruction.device.document.language
    if language not in GLOSSED:
        return Glossed(instruction, {})
    printed: dict[str, str] = {}
    fields = instruction.model_dump(mode="json", exclude={"translations"})
    in_english = Instruction.model_validate(_in_english(fields, language, printed))
    translations = tuple(_beside_the_gloss(one, language) for one in instruction.translations)
    return Glossed(in_english.model_copy(update={"translations": translations}), printed)


@functools.lru_cache(maxsize=4096)
def gloss(text: str, language: str) -> str:
    """A text with its known words in English, each where it stands.

    >>> gloss("Das Instrument darf niemals eingetaucht werden.", "de")
    'The instrument must never immersed are.'
    """

    def in_english(match: re.Match[str]) -> str:
        said = match[0]
        if len(said) == 1 and said.isupper() and not _BEGINS.search(match.string[: match.start()]):
            # A letter that stands for a part.
            return said
        meaning = _meaning(said.lower(), language)
        is_first = said[0].isupper() and _BEGINS.search(match.string[: match.start()]) is not None
        return meaning[0].upper() + meaning[1:] if is_first else meaning

    return _words_of(language).sub(in_english, _ELIDED.sub(r"\1' ", text))


def _beside_the_gloss(translation: Translation, language: str) -> Translation:
    """What another language says, beside the gloss of the words that it stood beside."""

    def moved(one: Translated) -> Translated:
        if one.beside is None:
            return one
        beside = one.beside.model_copy(update={"text": _kept(one.beside.text, language)})
        return one.model_copy(update={"beside": beside})

    return translation.model_copy(update={"passages": tuple(moved(one) for one in translation.passages)})


def _kept(text: str, language: str) -> str:
    """The gloss of a text, as long as an origin keeps words."""
    return " ".join(gloss(text, language).split()[:WORDS_IN_AN_ORIGIN])


def _in_english(fields: Mapping[str, Any], language: str, printed: dict[str, str]) -> dict[str, Any]:
    """Fields of a document with the words of those that are read in English, and what they print kept."""

    def put(name: str, value: Any) -> Any:
        if isinstance(value, dict):
            return _in_english(value, language, printed)
        if isinstance(value, list):
            return [put(name, one) for one in value]
        if not isinstance(value, str) or name not in _GLOSSED_FIELDS:
            return value
        meant = _kept(value, language)
        printed.setdefault(meant, value)
        return meant

    return {name: put(name, value) for name, value in fields.items()}


@functools.lru_cache(maxsize=4096)
def _meaning(said: str, language: str) -> str:
    """What a word or some words mean; what a star in front stands for is kept in front."""
    said = " ".join(said.split())
    words = _words_of(language)
    for word in words.held(said):
        match = words.pattern(word).fullmatch(said)
        if match:
            kept = match["kept"] if word.startswith("*") else ""
            return f"{kept} {_meanings(language)[word]}".strip()
    return said


@functools.cache
def _words_of(language: str) -> Spellings:
    """All the words of a gloss, the longest first."""
    return Spellings(_meanings(language), _spelled, behind=r"(?![\w'])")


@functools.cache
def _meanings(language: str) -> Mapping[str, str]:
    folder = resources.files("sinkside.review").joinpath("glosses")
    texts = [folder.joinpath(f"{language}{part}.toml").read_text("utf-8") for part in PARTS]
    meant = [one for text in texts for one in tomllib.loads(text).items()]
    pairs = [(word, meaning) for meaning, words in meant for word in words]
    pairs.sort(key=lambda pair: (pair[0].startswith("*"), -len(pair[0].rstrip("*")), pair[0].endswith("*")))
    meanings: dict[str, str] = {}
    for word, meaning in pairs:
        # Of a word that is there twice the first counts.
        meanings.setdefault(word, meaning)
    return meanings


def _spelled(word: str) -> str:
    begun = r"(?P<kept>\w+?)" if word.startswith("*") else ""
    rest = re.escape(word.removeprefix("*")).replace(r"\*", r"\w*").replace(r"\ ", r"\s+")
    return begun + rest

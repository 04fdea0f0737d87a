"""A letter to the maker as data (`sinkside/questions-1`)."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sinkside.documents import Value
from sinkside.findings import Level


class Quote(Value):
    """Words of the maker's, and where they stand."""

    text: str
    page: int | None = None
    line: int | None = None


class Sum(Value):
    """One value that was computed or compared, with what it is of."""

    name: str
    value: str


class Question(Value):
    """One question to the maker.

    Attributes:
        number: By which the maker answers.
        rule: The rule whose finding is asked about.
        level: How much the finding weighs.
        quotes: The maker's words that it concerns; both sides of a contradiction.
        matter: What was seen in them, in one sentence.
        computed: What was computed or compared.
        probably_meant: The likely reading, where there is one; it is asked about, and used nowhere.
        request: What the maker is asked to say.
        source: What was compared with, and how it was read.
        reviewed: Whether a person has confirmed every sentence of it in the letter's language.
        reference_matter: The matter in English, where the sentence above is no reviewed translation.
        reference_request: The request in English, likewise.
    """

    number: int = Field(ge=1)
    rule: str
    level: Level
    quotes: tuple[Quote, ...] = ()
    matter: str
    computed: tuple[Sum, ...] = ()
    probably_meant: str | None = None
    request: str
    source: str = ""
    reviewed: bool
    reference_matter: str | None = None
    reference_request: str | None = None


class Letter(Value):
    """What is asked of the maker about one instruction."""

    format: Literal["sinkside/questions-1"] = "sinkside/questions-1"
    language: str
    reference_language: str
    reviewed: bool
    written: str
    maker: str
    device: str
    document: str
    reply_to: str = ""
    questions: tuple[Question, ...] = ()

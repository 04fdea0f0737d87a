"""The letter to the maker about what a review leaves open."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from sinkside import documents
from sinkside.aids.letter import LETTER_LANGUAGES, Letter, Letterhead, letter, letter_text
from sinkside.instruction import Instruction
from sinkside.review import review

__all__ = ["LETTER_LANGUAGES", "letter_about", "letter_text", "write_letter"]


def letter_about(
    instruction: Instruction,
    *,
    written_on: date,
    language: str = "en",
    profile: str = "eu",
    reply_to: str = "",
) -> Letter:
    """The letter that asks the maker about everything that the review finds.

    Args:
        instruction: the maker's text.
        written_on: the day that the letter bears.
        language: en, de, fr or es.
        profile: the limits to judge by.
        reply_to: where the maker's answer is to go.

    Raises:
        BadInput: if letters are not written in the language, or the profile is unknown.
    """
    findings = review(instruction, profile=profile)
    head = Letterhead(written_on.isoformat(), reply_to)
    return letter(instruction, findings, head=head, language=language)


def write_letter(asked: Letter, path: Path, *, reference: bool = True) -> None:
    """Write a letter as a text file, with English beside what nobody has confirmed unless told.

    Raises:
        UnreadableFile: if it cannot be written there.
    """
    documents.write_text(path, letter_text(asked, reference=reference))

"""Findings to questions, each in the maker's own words, in the language that the maker reads."""

from __future__ import annotations

import functools
import string
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

from sinkside.aids.letter.document import Letter, Question, Quote, Sum
from sinkside.aids.report.finding_view import source_words
from sinkside.aids.report.wording import evidence_words, name_words
from sinkside.errors import BadInput
from sinkside.findings import Finding, Measure, worst_first
from sinkside.instruction import Instruction
from sinkside.language import REFERENCE_LANGUAGE, catalogue, render
from sinkside.review import Rule, rule_of

#: The languages that letters are written in; the reference language first.
LETTER_LANGUAGES = (REFERENCE_LANGUAGE, "de", "fr", "es")

_MEANT = "probably_meant"


@dataclass(frozen=True)
class Letterhead:
    """When a letter is written (ISO 8601 date), and where the maker's answer is to go."""

    written: str
    reply_to: str = ""


@dataclass(frozen=True)
class _Said:
    """A sentence in the letter's language, whether a person confirmed it there, and its English."""

    text: str
    reviewed: bool
    english: str


def letter(
    instruction: Instruction,
    findings: Iterable[Finding],
    *,
    head: Letterhead,
    language: str = REFERENCE_LANGUAGE,
) -> Letter:
    """The letter that asks a maker about findings, the heaviest first.

    Args:
        instruction: the maker's text.
        findings: what is unanswered.
        head: date and address of the letter.
        language: en, de, fr or es.

    Raises:
        BadInput: if letters are not written in the language.

    >>> from sinkside.findings import Level, Place
    >>> from sinkside.instruction import Device
    >>> lost = Finding(rule="reference-dangling", level=Level.note, place=Place(text="see chapter 9"),
    ...                message="The text refers to chapter 9, and there is none.",
    ...                evidence={"kind": "chapter", "number": "9"})
    >>> asked = letter(Instruction(device=Device(name="Grasper")), [lost], head=Letterhead("2026-03-02"))
    >>> asked.questions[0].request
    'Please tell us where this reference leads.'
    """
    if language not in LETTER_LANGUAGES:
        known = ", ".join(LETTER_LANGUAGES)
        raise BadInput(f"letters are not written in '{language}'; expected one of {known}")
    questions = tuple(
        _question(number, finding, language) for number, finding in enumerate(worst_first(findings), start=1)
    )
    device = instruction.device
    return Letter(
        language=language,
        reference_language=REFERENCE_LANGUAGE,
        reviewed=all(question.reviewed for question in questions) and _frame_reviewed(language),
        written=head.written,
        maker=device.maker,
        device=device.name,
        document=_document(instruction, language),
        reply_to=head.reply_to,
        questions=questions,
    )


def _frame_reviewed(language: str) -> bool:
    """Whether a person has confirmed the sentences around the questions; one stands for all of them."""
    return catalogue(language).message("Your answer:").reviewed


def _document(instruction: Instruction, language: str) -> str:
    document = instruction.device.document
    revision = (
        render("revision {revision}", {"revision": document.revision}, language) if document.revision else ""
    )
    return ", ".join(part for part in (document.title or document.file, revision) if part)


def _question(number: int, finding: Finding, language: str) -> Question:
    known = _rule(finding)
    matter = _matter(finding, known, language)
    request = _said(_request(finding, known), finding.evidence, language)
    reviewed = matter.reviewed and request.reviewed
    meant = finding.evidence.get(_MEANT)
    return Question(
        number=number,
        rule=finding.rule,
        level=finding.level,
        quotes=tuple(_quotes(finding)),
        matter=matter.text,
        computed=tuple(_sums(finding, language)),
        probably_meant=None if meant is None else evidence_words(meant, language),
        request=request.text,
        source=source_words(finding.source, language) if finding.source else "",
        reviewed=reviewed,
        reference_matter=None if reviewed else matter.english,
        reference_request=None if reviewed else request.english,
    )


def _rule(finding: Finding) -> Rule | None:
    """The rule of a finding; none where another version of Sinkside wrote it."""
    try:
        return rule_of(finding.rule)
    except KeyError:
        return None


def _matter(finding: Finding, known: Rule | None, language: str) -> _Said:
    """What was seen, from the rule's own template; as it was worded then where the template does not fit."""
    if known is not None and not _is_unjudged(finding):
        try:
            return _said(known.message, finding.evidence, language)
        except KeyError:
            pass
    if _is_unjudged(finding):
        return _said("For want of a statement in the text, this could not be judged.", {}, language)
    return _Said(finding.message, language == REFERENCE_LANGUAGE, finding.message)


def _is_unjudged(finding: Finding) -> bool:
    return {"wanted", "title"} == set(finding.evidence)


def _request(finding: Finding, known: Rule | None) -> str:
    requests = _requests()
    if _is_unjudged(finding):
        return str(requests["wanted"])
    own: Mapping[str, str] = requests["rules"]
    of_theme: Mapping[str, str] = requests["themes"]
    return own.get(finding.rule) or of_theme.get(known.theme.value if known else "", str(requests["other"]))


def _said(template: str, evidence: Mapping[str, Measure | int | str], language: str) -> _Said:
    """A template filled in the letter's language, words of ours among the evidence included.

    Raises:
        KeyError: if the evidence lacks a field of the template.
    """
    words = catalogue(language)
    message = words.message(template)
    values = {
        name: words.message(value).text if isinstance(value, str) else value
        for name, value in evidence.items()
    }
    missing = [field for field in _fields(template) if field not in evidence]
    if missing:
        raise KeyError(missing[0])
    return _Said(render(template, values, language), message.reviewed, render(template, evidence))


@functools.cache
def _fields(template: str) -> tuple[str, ...]:
    return tuple(field for _, field, _, _ in string.Formatter().parse(template) if field is not None)


def _quotes(finding: Finding) -> Iterator[Quote]:
    """The maker's words on every side of the matter, each once."""
    seen: set[tuple[str, int | None, int | None]] = set()
    for place in (finding.place, *finding.more_places):
        key = (place.text, place.page, place.line)
        if place.text and key not in seen:
            seen.add(key)
            yield Quote(text=place.text, page=place.page, line=place.line)


def _sums(finding: Finding, language: str) -> Iterator[Sum]:
    """The numbers behind the matter; words among the evidence stand in the sentence already."""
    for name, value in finding.evidence.items():
        if name != _MEANT and not isinstance(value, str):
            yield Sum(name=name_words(name, language), value=evidence_words(value, language))


@functools.cache
def _requests() -> dict[str, Any]:
    file = resources.files("sinkside.aids.letter").joinpath("requests.toml")
    return tomllib.loads(file.read_text(encoding="utf-8"))

"""A letter as plain text, to print, mail or paste; room for the maker's answer under each question."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from datetime import date

from sinkside.aids.letter.document import Letter, Question, Quote
from sinkside.aids.places import place_words
from sinkside.findings import Level, Place
from sinkside.language import render
from sinkside.language.numbers import locale_of

_WIDTH = 92
_INDENT = "    "
_LINE_TO_WRITE_ON = _INDENT + "_" * (_WIDTH - len(_INDENT))
#: More than this and nobody reads on; a contradiction has two sides, rarely three.
_MOST_QUOTES = 4

_OPENING = (
    "We process this device as your instruction says. In reading it we met the points below, which we can "
    "neither settle nor guess. Please answer each by its number, in writing."
)
_NOT_REVIEWED = "This translation has not been reviewed by a person. The English text holds."
_LIKELY = "Probably {meant} was meant. We do not use it unless you confirm it."
_HELD = "Until you answer, we do not work this way."
_GOVERNS = (
    "Your current instruction and local policy govern. This letter changes neither, and releases nothing."
)


def letter_text(letter: Letter, *, reference: bool = True) -> str:
    """A letter as text.

    Args:
        letter: what is asked.
        reference: whether English stands beside what no person has confirmed in the letter's language.
    """
    blocks = [
        *_head(letter),
        *(_asked(question, letter, reference=reference) for question in letter.questions),
        *_foot(letter),
    ]
    return "\n\n".join(blocks) + "\n"


def _head(letter: Letter) -> Iterator[str]:
    language = letter.language
    rows = [
        ("To", letter.maker),
        ("Device", letter.device),
        ("Document", letter.document),
        ("Date", _date(letter)),
    ]
    yield render("Questions about your processing instruction", {}, language).upper()
    yield "\n".join(f"{render(name, {}, language)}: {value}" for name, value in rows if value)
    if not letter.reviewed:
        yield _wrapped(render(_NOT_REVIEWED, {}, language))
    if not letter.questions:
        yield _wrapped(render("We have no open questions about this instruction.", {}, language))
        return
    yield _wrapped(render(_OPENING, {}, language))


def _date(letter: Letter) -> str:
    from babel.dates import format_date

    return format_date(date.fromisoformat(letter.written), format="long", locale=locale_of(letter.language))


def _asked(question: Question, letter: Letter, *, reference: bool) -> str:
    language = letter.language
    lines = [_wrapped(f"{question.number}. {question.matter}", hanging=True)]
    if reference and question.reference_matter:
        lines.append(_wrapped(f"[en] {question.reference_matter}", indent=True))
    lines += [*_quotes(question, language), *_reasons(question, language)]
    lines.append(_wrapped(question.request, indent=True))
    if reference and question.reference_request:
        lines.append(_wrapped(f"[en] {question.reference_request}", indent=True))
    if question.level is Level.stop:
        lines.append(_wrapped(render(_HELD, {}, language), indent=True))
    answer = _INDENT + render("Your answer:", {}, language)
    return "\n".join([*lines, "", answer, "", _LINE_TO_WRITE_ON, "", _LINE_TO_WRITE_ON])


def _quotes(question: Question, language: str) -> Iterator[str]:
    """The words on every side; where they are many, the rest by place alone."""
    for quote in question.quotes[:_MOST_QUOTES]:
        quoted = render("“{words}”", {"words": quote.text}, language)
        where = _where(quote, language)
        said = render("Your words, {where}: {quoted}", {"where": where, "quoted": quoted}, language)
        yield _wrapped(said if where else quoted, indent=True)
    rest = dict.fromkeys(_where(quote, language) for quote in question.quotes[_MOST_QUOTES:])
    if others := "; ".join(filter(None, rest)):
        yield _wrapped(render("Likewise: {where}.", {"where": others}, language), indent=True)


def _where(quote: Quote, language: str) -> str:
    return place_words(Place(page=quote.page, line=quote.line), language)


def _reasons(question: Question, language: str) -> Iterator[str]:
    """What was computed, with what it was compared, and what was probably meant."""
    if question.computed:
        sums = "; ".join(f"{one.name} {one.value}" for one in question.computed)
        yield _wrapped(render("Figures: {sums}.", {"sums": sums}, language), indent=True)
    if question.source:
        yield _wrapped(render("Compared with: {source}.", {"source": question.source}, language), indent=True)
    if question.probably_meant:
        yield _wrapped(render(_LIKELY, {"meant": question.probably_meant}, language), indent=True)


def _foot(letter: Letter) -> Iterator[str]:
    language = letter.language
    if letter.questions:
        names = ("Name and function", "Date", "Signature")
        yield "\n\n".join(f"{render(name, {}, language)}: {'_' * 50}" for name in names)
    if letter.reply_to:
        yield _wrapped(
            render("Please send your answer to: {address}", {"address": letter.reply_to}, language)
        )
    yield _wrapped(render(_GOVERNS, {}, language))


def _wrapped(text: str, *, indent: bool = False, hanging: bool = False) -> str:
    return textwrap.fill(
        text,
        _WIDTH,
        initial_indent=_INDENT if indent else "",
        subsequent_indent=_INDENT if indent or hanging else "",
        break_long_words=False,
        break_on_hyphens=False,
    )

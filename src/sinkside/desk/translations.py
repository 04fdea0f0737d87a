"""Templates of plain words: which of a language a named person has reviewed, and what each says, filled.

A review binds to the digest of a template's text in both languages: a changed template is unreviewed again.
What one educator has reviewed counts in every department of the house: the templates are the same in each.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from pydantic import AwareDatetime

from sinkside.desk.access import Visitor, record, require
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.documents import Value
from sinkside.errors import BadInput, NotThere
from sinkside.plain import LANGUAGES, Habits, Template
from sinkside.plain.examples import example
from sinkside.plain.reading_ease import ReadingEase, reading_ease
from sinkside.plain.reviewing import templates_of
from sinkside.plain.sections import sections

READ: Final = "instruction-read"
REVIEW: Final = "template-review"
REVIEWS: Final = "template-reviews"


class TemplateReview(Value):
    """That a person found one template right: its digest, both texts as they stood, who and when."""

    digest: str
    english: str
    text: str
    plural: str = ""
    by: str
    at: AwareDatetime


class TemplateReviews(Value):
    """Every review of one language's templates that stands (`sinkside/template-reviews-1`)."""

    format: Literal["sinkside/template-reviews-1"] = "sinkside/template-reviews-1"
    language: str
    reviews: tuple[TemplateReview, ...] = ()


@dataclass(frozen=True)
class LanguageStanding:
    """A language: its code, its own and its English name, its templates and how many are reviewed."""

    code: str
    own_name: str
    name: str
    templates: int
    reviewed: int


@dataclass(frozen=True)
class TemplateShown:
    """A template with its example in both languages, and who reviewed it when.

    Attributes:
        template: both texts.
        says: the text, filled.
        reference: the English, filled.
        by: who reviewed it as it stands now; empty where nobody did.
        at: when.
        changed: whether somebody reviewed it as it stood before.
    """

    template: Template
    says: str
    reference: str
    by: str = ""
    at: datetime | None = None
    changed: bool = False


@dataclass(frozen=True)
class LanguageOpened:
    """One language: how it stands, its templates by section, and how easily its sentences read."""

    standing: LanguageStanding
    direction: str
    sections: tuple[tuple[str, tuple[TemplateShown, ...]], ...]
    ease: tuple[ReadingEase, ...]


def languages(archive: Archive, who: Visitor) -> tuple[LanguageStanding, ...]:
    """Every language that plain words are written in, and how far it is reviewed here.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return tuple(_standing(code, reviewed_templates(unit, code)) for code in LANGUAGES)


def open_language(archive: Archive, who: Visitor, language: str) -> LanguageOpened:
    """One language with its templates, each with an example, and who reviewed it.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such language.
    """
    require(who, READ)
    _refuse_unless_there(language)
    with archive.unit(writes=False) as unit:
        kept = _kept(unit, language).reviews
        names = names_in(unit, {review.by for review in kept})
    told = templates_of(language)
    shown = {template: _shown(template, kept, names) for template in told}
    parts = tuple((name, tuple(shown[one] for one in members)) for name, members in sections(told).items())
    return LanguageOpened(
        _standing(language, {review.digest for review in kept}),
        Habits(language=language).direction,
        parts,
        reading_ease((one.says for one in shown.values()), language),
    )


def reviewed_templates(unit: Unit, language: str) -> frozenset[str]:
    """The digests of every template of a language that a review binds to as it stands now."""
    kept = {review.digest for review in _kept(unit, language).reviews}
    if not kept:
        return frozenset()
    return frozenset(kept & {template.digest for template in templates_of(language)})


def review_templates(
    archive: Archive, who: Visitor, language: str, digests: Collection[str], *, now: datetime
) -> int:
    """Keep that somebody found templates right as they stand, and say how many were not reviewed before.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such language.
        BadInput: if none was chosen, or one is no longer what was read.
    """
    require(who, REVIEW)
    _refuse_unless_there(language)
    known = {template.digest: template for template in templates_of(language)}
    _refuse_unless_chosen(digests, known)
    with archive.unit() as unit:
        before = _kept(unit, language).reviews
        new = [digest for digest in dict.fromkeys(digests) if digest not in {one.digest for one in before}]
        added = tuple(
            TemplateReview(
                digest=digest,
                english=known[digest].english,
                text=known[digest].text,
                plural=known[digest].plural,
                by=who.person,
                at=now,
            )
            for digest in new
        )
        if added:
            _keep(
                unit, who, language, (*before, *added), kind="templates-reviewed", count=len(added), now=now
            )
    return len(added)


def withdraw_reviews(
    archive: Archive, who: Visitor, language: str, digests: Collection[str], *, now: datetime
) -> int:
    """Take reviews back, so that papers with these templates no longer go to the floor; say how many.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such language.
        BadInput: if none was chosen, or one is not reviewed.
    """
    require(who, REVIEW)
    _refuse_unless_there(language)
    with archive.unit() as unit:
        before = _kept(unit, language).reviews
        _refuse_unless_chosen(digests, {review.digest for review in before})
        left = tuple(review for review in before if review.digest not in digests)
        gone = len(before) - len(left)
        _keep(unit, who, language, left, kind="template-reviews-withdrawn", count=gone, now=now)
    return gone


def _refuse_unless_there(language: str) -> None:
    if language not in LANGUAGES:
        raise NotThere("plain words are not written in this language", resource=language)


def _refuse_unless_chosen(digests: Collection[str], known: Iterable[str]) -> None:
    if not digests:
        raise BadInput("choose at least one template", resource="templates")
    if not set(digests) <= set(known):
        raise BadInput(
            "a template that you chose is no longer what you read; look at it again", resource="templates"
        )


def _keep(
    unit: Unit,
    who: Visitor,
    language: str,
    reviews: tuple[TemplateReview, ...],
    *,
    kind: str,
    count: int,
    now: datetime,
) -> None:
    document = TemplateReviews(language=language, reviews=reviews)
    kept = keep_next(unit, REVIEWS, language, document, by=who.person, now=now)
    name = Habits(language=language).language_name
    data = {"language": language, "name": name, "count": count, "digest": kept.digest}
    record(unit, who, kind, f"language:{language}", now=now, data=data)


def _kept(unit: Unit, language: str) -> TemplateReviews:
    return read_kept(unit, REVIEWS, language, TemplateReviews) or TemplateReviews(language=language)


def _standing(code: str, reviewed: Collection[str]) -> LanguageStanding:
    told = templates_of(code)
    name = Habits(language=code).language_name
    count = sum(template.digest in reviewed for template in told)
    return LanguageStanding(code, LANGUAGES[code], name, len(told), count)


def _shown(template: Template, kept: Iterable[TemplateReview], names: dict[str, str]) -> TemplateShown:
    says, reference = example(template)
    same = [one for one in kept if (one.english, one.plural) == (template.english, template.plural)]
    review = next((one for one in same if one.digest == template.digest), None)
    if review is None:
        return TemplateShown(template, says, reference, changed=bool(same))
    return TemplateShown(template, says, reference, by=names[review.by], at=review.at)

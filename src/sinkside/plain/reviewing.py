"""Which templates a person must have looked at before a paper in another language goes to the floor."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from sinkside.errors import NotForTheFloor
from sinkside.language import REFERENCE_LANGUAGE, catalogue, split_key
from sinkside.plain.habits import LANGUAGES, Habits, refuse_unknown
from sinkside.plain.voice import COLLECTION, Template

#: So many templates are named where a paper is refused; the page of the language has them all.
_NAMED = 3

#: The languages that ask for a review.
REVIEWED_LANGUAGES = tuple(language for language in LANGUAGES if language != REFERENCE_LANGUAGE)


@dataclass(frozen=True)
class Unreviewed:
    """Templates of one language that nobody in the house has reviewed as they stand now."""

    language: str
    templates: tuple[Template, ...]

    @property
    def sentence(self) -> str:
        """How many, in what language, and the first of them."""
        count, name = len(self.templates), Habits(language=self.language).language_name
        named = ", ".join(f"“{template.english}”" for template in self.templates[:_NAMED])
        more = f" and {count - _NAMED} more" if count > _NAMED else ""
        are = "1 template is" if count == 1 else f"{count} templates are"
        return f"{are} not reviewed in {name}: {named}{more}"


def templates_of(language: str) -> tuple[Template, ...]:
    """Every template of a language, in the order of its catalogue; the reference asks for no review.

    Raises:
        BadInput: if plain words are not written in the language.

    >>> templates_of("en")
    ()
    >>> "Osusz" in {template.text for template in templates_of("pl")}
    True
    """
    refuse_unknown(language)
    found = []
    for key, message in catalogue(language, COLLECTION).messages.items():
        plural, english = split_key(key)
        found.append(Template(language, english, message.text, plural))
    return tuple(found)


def unreviewed(used: Iterable[Template], reviewed: Collection[str]) -> tuple[Unreviewed, ...]:
    """What was said with templates that no review binds to as they stand, language by language.

    Args:
        used: the templates that a paper was said with.
        reviewed: the digests that reviews bind to.
    """
    lacking: dict[str, dict[Template, None]] = {}
    for template in used:
        if template.language != REFERENCE_LANGUAGE and template.digest not in reviewed:
            lacking.setdefault(template.language, {})[template] = None
    return tuple(Unreviewed(language, tuple(templates)) for language, templates in lacking.items())


def refuse_unreviewed(used: Iterable[Template], reviewed: Collection[str], *, resource: str) -> None:
    """Refuse a paper for the floor that says anything nobody has reviewed; a proof asks nothing of this.

    Raises:
        NotForTheFloor: naming how many, in what language, and the first of them.

    >>> refuse_unreviewed([Template("pl", "Dry it", "Osusz")], (), resource="Forceps")
    Traceback (most recent call last):
    sinkside.errors.NotForTheFloor: Forceps: 1 template is not reviewed in Polish: “Dry it”; have them...
    """
    lacking = unreviewed(used, reviewed)
    if lacking:
        told = "; ".join(one.sentence for one in lacking)
        raise NotForTheFloor(
            f"{told}; have them reviewed under Languages, or ask for a proof", resource=resource
        )

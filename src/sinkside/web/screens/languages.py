"""Languages of plain words: how far each is reviewed, its templates beside the reference, reviewing them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from pydantic import Field

from sinkside.desk import reading_habits, translations
from sinkside.desk.reading_habits import CHANGE_UNITS
from sinkside.desk.translations import READ, REVIEW, LanguageStanding, TemplateShown
from sinkside.language import REFERENCE_LANGUAGE
from sinkside.plain import Units
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Nav, Option, Screen

screen = Screen("languages")

PLACE: Final = f"{DEPARTMENT}/languages"


@dataclass(frozen=True)
class LanguageLine:
    """A language in the list: its page, code, own and English name, and how far it is reviewed."""

    address: str
    code: str
    own_name: str
    name: str
    templates: int
    reviewed: int
    is_reference: bool


@dataclass(frozen=True)
class LanguagesPage:
    """Every language that papers can be printed in, and the units that papers show here.

    Attributes:
        title: the heading.
        address: of the page.
        languages: the languages.
        temperature: the unit of temperatures here; empty for the maker's own.
        pressure: the unit of pressures here; empty for the maker's own.
        temperatures: the units to choose from.
        pressures: the units to choose from.
    """

    title: str
    address: str
    languages: tuple[LanguageLine, ...]
    temperature: str
    pressure: str
    temperatures: tuple[Option, ...]
    pressures: tuple[Option, ...]


@dataclass(frozen=True)
class TemplateLine:
    """A template: what a form sends for it, its text with fields, and both filled; who reviewed it.

    Attributes:
        digest: what a review binds to.
        text: the template in the language, with its fields.
        english: the same in the reference language.
        says: the text, filled.
        reference: the English, filled.
        reviewed: who and when; empty where nobody did.
        changed: whether it was reviewed before it changed.
    """

    digest: str
    text: str
    english: str
    says: str
    reference: str
    reviewed: str
    changed: bool


@dataclass(frozen=True)
class Part:
    """A section of templates: its id on the page, its heading, those not reviewed, those that are."""

    id: str
    heading: str
    open: tuple[TemplateLine, ...]
    reviewed: tuple[TemplateLine, ...]


@dataclass(frozen=True)
class EaseShown:
    """How easily the templates read by one formula: name, value, what that means, who published it."""

    name: str
    value: str
    means: str
    source: str


@dataclass(frozen=True)
class LanguagePage:
    """One language: its templates by section.

    Attributes:
        title: its own and its English name.
        address: of the page.
        languages: where the list is.
        code: the language's code, for the browser.
        direction: which way it is read.
        line: how far it is reviewed.
        parts: its templates.
        ease: how easily they read.
        names: what names of makers' texts are called here: as written, and in the language.
    """

    title: str
    address: str
    languages: str
    code: str
    direction: str
    line: LanguageLine
    parts: tuple[Part, ...]
    ease: tuple[EaseShown, ...]
    names: tuple[tuple[str, str], ...]


class Chosen(Form):
    """The digests of the templates that are reviewed, or whose review is taken back."""

    templates: tuple[str, ...] = ()


class UnitsChosen(Form):
    """The units that people here read; empty leaves the maker's own."""

    temperature: Literal["", "°C", "°F"] = ""
    pressure: Literal["", "bar", "kPa", "mbar", "psi"] = ""


class NameGiven(Form):
    """A name as the maker writes it, and what it is called here; empty takes that away."""

    written: str = Field("", max_length=2000)
    called: str = Field("", max_length=2000)


@screen.page(PLACE, right=READ, template="languages.html", nav=Nav("Languages", 38, "instructions"))
def languages(asked: Asked) -> LanguagesPage:
    """Every language that papers can be printed in, and how far each is reviewed."""
    known = translations.languages(asked.archive, asked.visitor)
    units = reading_habits.open_habits(asked.archive, asked.visitor).units
    return LanguagesPage(
        title="Languages",
        address=asked.at("/languages"),
        languages=tuple(_line(asked, one) for one in known),
        temperature=units.temperature,
        pressure=units.pressure,
        temperatures=_choices("°C", "°F"),
        pressures=_choices("bar", "kPa", "mbar", "psi"),
    )


@screen.act(f"{PLACE}/units", right=CHANGE_UNITS, form=UnitsChosen, page=languages)
def choose_units(asked: Asked, form: UnitsChosen) -> Done:
    """Settle which units papers show here."""
    units = Units(temperature=form.temperature, pressure=form.pressure)
    reading_habits.choose_units(asked.archive, asked.visitor, units, now=asked.now)
    return Done(go=asked.at("/languages"), said="Papers here show these units from now on.")


@screen.page(f"{PLACE}/{{language}}", right=READ, template="language.html")
def language(asked: Asked, language: str) -> LanguagePage:
    """One language: each template beside the reference, filled, and who reviewed it."""
    known = translations.open_language(asked.archive, asked.visitor, language)
    own = reading_habits.open_habits(asked.archive, asked.visitor)
    line = _line(asked, known.standing)
    return LanguagePage(
        title=line.name if line.own_name == line.name else f"{line.own_name} · {line.name}",
        address=line.address,
        languages=asked.at("/languages"),
        code=line.code,
        direction=known.direction,
        line=line,
        parts=tuple(
            _part(asked, place, heading, shown) for place, (heading, shown) in enumerate(known.sections, 1)
        ),
        ease=tuple(
            EaseShown(
                one.name,
                f"{one.value:.1f}",
                one.means,
                f"{one.source} ({one.source.how_read_phrase})",
            )
            for one in known.ease
        ),
        names=tuple(own.glossary.of(language).items()),
    )


@screen.act(f"{PLACE}/{{language}}/review", right=REVIEW, form=Chosen, page=language)
def review(asked: Asked, form: Chosen, language: str) -> Done:
    """Keep that the templates that were chosen are right as they stand."""
    count = translations.review_templates(
        asked.archive, asked.visitor, language, form.templates, now=asked.now
    )
    return Done(go=asked.at(f"/languages/{language}"), said=f"Reviewed: {_counted(count)}.")


@screen.act(f"{PLACE}/{{language}}/withdraw", right=REVIEW, form=Chosen, page=language)
def withdraw(asked: Asked, form: Chosen, language: str) -> Done:
    """Take reviews back."""
    count = translations.withdraw_reviews(
        asked.archive, asked.visitor, language, form.templates, now=asked.now
    )
    return Done(go=asked.at(f"/languages/{language}"), said=f"No longer reviewed: {_counted(count)}.")


@screen.act(f"{PLACE}/{{language}}/names", right=REVIEW, form=NameGiven, page=language)
def name_here(asked: Asked, form: NameGiven, language: str) -> Done:
    """Keep what a name of makers' texts is called here, or take that away."""
    reading_habits.name_here(asked.archive, asked.visitor, language, form.written, form.called, now=asked.now)
    told = "is called so on papers here" if form.called.strip() else "stands as the maker writes it"
    return Done(go=asked.at(f"/languages/{language}#names"), said=f"“{form.written.strip()}” {told}.")


def _choices(*units: str) -> tuple[Option, ...]:
    return (Option("", "as the maker has it"), *(Option(unit, unit) for unit in units))


def _counted(count: int) -> str:
    return f"{count} template{'' if count == 1 else 's'}"


def _line(asked: Asked, one: LanguageStanding) -> LanguageLine:
    return LanguageLine(
        address=asked.at(f"/languages/{one.code}"),
        code=one.code,
        own_name=one.own_name,
        name=one.name,
        templates=one.templates,
        reviewed=one.reviewed,
        is_reference=one.code == REFERENCE_LANGUAGE,
    )


def _part(asked: Asked, place: int, heading: str, shown: tuple[TemplateShown, ...]) -> Part:
    lines = [(_template(asked, one), bool(one.by)) for one in shown]
    return Part(
        id=f"part-{place}",
        heading=heading,
        open=tuple(line for line, is_reviewed in lines if not is_reviewed),
        reviewed=tuple(line for line, is_reviewed in lines if is_reviewed),
    )


def _template(asked: Asked, one: TemplateShown) -> TemplateLine:
    day = shown_moment(one.at, asked.visitor.zone)[:10] if one.at else ""
    return TemplateLine(
        digest=one.template.digest,
        text=one.template.text,
        english=one.template.english,
        says=one.says,
        reference=one.reference,
        reviewed=f"{one.by}, {day}" if one.by else "",
        changed=one.changed,
    )

"""How a department's papers are read: the units that people here read, and its own names for things."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Final, Literal

from sinkside.desk.access import Visitor, record, require
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.translations import READ, REVIEW
from sinkside.documents import Value
from sinkside.errors import BadInput, NotThere
from sinkside.language import REFERENCE_LANGUAGE
from sinkside.plain import LANGUAGES, Glossary, Units
from sinkside.plain.voice import folded

HABITS: Final = "reading-habits"
CHANGE_UNITS: Final = "department-edit"

_LONGEST: Final = 300
_DIGITS = re.compile(r"\d+")


class ReadingHabits(Value):
    """A department's units and its own names (`sinkside/reading-habits-1`)."""

    format: Literal["sinkside/reading-habits-1"] = "sinkside/reading-habits-1"
    units: Units = Units()
    glossary: Glossary = Glossary()


def habits_here(unit: Unit, department: str) -> ReadingHabits:
    """What a department has settled; the maker's own units and names where it settled nothing."""
    return read_kept(unit, HABITS, department, ReadingHabits) or ReadingHabits()


def open_habits(archive: Archive, who: Visitor) -> ReadingHabits:
    """What the department has settled.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return habits_here(unit, who.department)


def choose_units(archive: Archive, who: Visitor, units: Units, *, now: datetime) -> None:
    """Settle which units papers show here; the maker's own figure stands beside a turned one.

    Raises:
        NotAllowed: without the right.
    """
    require(who, CHANGE_UNITS)
    with archive.unit() as unit:
        before = habits_here(unit, who.department)
        after = before.model_copy(update={"units": units})
        read = ", ".join(filter(None, (units.temperature, units.pressure))) or "the maker’s own units"
        _keep(unit, who, after, told=f"let papers here show {read}", now=now)


def name_here(
    archive: Archive, who: Visitor, language: str, written: str, called: str, *, now: datetime
) -> None:
    """Keep what a name or sentence of makers' texts is called here in a language; empty takes the entry away.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such language.
        BadInput: if the words are missing or too long, or a figure of theirs is changed.
    """
    require(who, REVIEW)
    if language not in LANGUAGES or language == REFERENCE_LANGUAGE:
        raise NotThere("plain words are not written in this language", resource=language)
    name, words = " ".join(written.split()), " ".join(called.split())
    _refuse_unless_fit(name, words)
    with archive.unit() as unit:
        before = habits_here(unit, who.department)
        kept = {
            key: text for key, text in before.glossary.of(language).items() if folded(key) != folded(name)
        }
        if words:
            kept[name] = words
        elif len(kept) == len(before.glossary.of(language)):
            raise BadInput(f"nobody has said what “{name}” is called here", resource="written")
        glossary = Glossary(words={**before.glossary.words, language: dict(sorted(kept.items()))})
        after = before.model_copy(update={"glossary": glossary})
        told = f"called “{name}” “{words}” in {language}" if words else f"let “{name}” stand in {language}"
        _keep(unit, who, after, told=told, now=now)


def _refuse_unless_fit(name: str, words: str) -> None:
    if not name:
        raise BadInput("expected the words as the maker writes them", resource="written")
    for field, text in (("written", name), ("called", words)):
        if len(text) > _LONGEST:
            raise BadInput(f"{len(text)} characters; at most {_LONGEST}", resource=field)
    if words and sorted(_DIGITS.findall(name)) != sorted(_DIGITS.findall(words)):
        raise BadInput("the figures in a name stay as the maker wrote them", resource="called")


def _keep(unit: Unit, who: Visitor, habits: ReadingHabits, *, told: str, now: datetime) -> None:
    kept = keep_next(unit, HABITS, who.department, habits, by=who.person, now=now)
    data = {"told": told, "digest": kept.digest}
    record(unit, who, "reading-habits-changed", f"department:{who.department}", now=now, data=data)

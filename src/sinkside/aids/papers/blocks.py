"""What a card or sheet is made of, from top to bottom, as plain values for the template `leaf.typ`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sinkside.aids.papers.setting import Values
from sinkside.aids.pictograms import pictogram_svg

#: An empty box to tick or to write a count in.
TICK = "☐"


@dataclass(frozen=True)
class Said:
    """A sentence of the maker's, and where it stands."""

    text: str
    where: str = ""


@dataclass(frozen=True)
class Sign:
    """Something to wear or to mind: its pictogram, the word for it, and why."""

    pictogram: str
    word: str
    note: str = ""


def section(text: str, note: str = "") -> Values:
    """A heading, and what is to be said at once."""
    return {"block": "section", "text": text, "note": note}


def rows(shown: Sequence[Values]) -> Values:
    """Operations below each other."""
    return {"block": "rows", "rows": list(shown)}


def words(text: str, *, is_large: bool = False) -> Values:
    """A sentence of ours."""
    return {"block": "words", "text": text, "is-large": is_large}


def sentences(said: Iterable[Said]) -> Values:
    """The maker's sentences as a list."""
    return {"block": "sentences", "sentences": [{"text": one.text, "where": one.where} for one in said]}


def said_box(said: Mapping[str, Sequence[str]]) -> Values:
    """Sentences that hold for everything, in a box, under words in black."""
    return {
        "block": "said",
        "said": [{"label": label, "sentences": list(told)} for label, told in said.items() if told],
    }


def told(said: Iterable[tuple[str, str, str]]) -> Values:
    """Sentences that belong to the row above: what they are about, the sentence, the reference beside it."""
    return {
        "block": "told",
        "told": [{"label": label, "text": text, "beside": beside} for label, text, beside in said],
    }


def table(
    head: Sequence[str], shown: Iterable[Sequence[str]], *, widths: Sequence[float], ruled: bool = False
) -> Values:
    """A table; `widths` are shares of the sheet's."""
    return {
        "block": "table",
        "head": list(head),
        "rows": [list(row) for row in shown],
        "widths": list(widths),
        "ruled": ruled,
    }


def fields(labels: Iterable[str]) -> Values:
    """Lines to write on."""
    return {"block": "fields", "labels": list(labels)}


def signs(shown: Iterable[Sign]) -> Values:
    """Things to wear or to mind, with their pictograms."""
    return {
        "block": "signs",
        "signs": [
            {"pictogram": pictogram_svg(one.pictogram), "word": one.word, "note": one.note} for one in shown
        ],
    }


def zone(station: str, why: str, worn: Iterable[Sign]) -> Values:
    """What is worn at one station, and why."""
    return {**signs(worn), "block": "zone", "station": station, "why": why}


def line() -> Values:
    """The route line."""
    return {"block": "line"}

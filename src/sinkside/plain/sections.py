"""Templates in sections, as a person reads through them: what is done, positions, names, figures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from sinkside.plain import templates
from sinkside.plain.bounds import BOUND_WORDS
from sinkside.plain.counted import COUNTED, PIECES, UNITS_IN_WORDS
from sinkside.plain.figures import LABELS, REFERENCES
from sinkside.plain.operations import STATION_LABELS
from sinkside.plain.voice import Template

_DONE = "What is done"
_POSITIONS = "Positions"
_NAMES = "Names of features, places and stages"
_FIGURES = "Figures"
_ON_PAPER = "Round the steps, on paper"


def sections(told: Iterable[Template]) -> Mapping[str, tuple[Template, ...]]:
    """Templates by section, those of each in their order; a section without any is left out.

    >>> [name for name in sections([Template("pl", "Dry it", "Osusz"), Template("pl", "jaw", "szczęki")])]
    ['What is done', 'Names of features, places and stages']
    """
    home = _home()
    found: dict[str, list[Template]] = {name: [] for name in (_DONE, _POSITIONS, _NAMES, _FIGURES, _ON_PAPER)}
    for template in told:
        found[home.get(template.english, _ON_PAPER)].append(template)
    return {name: tuple(members) for name, members in found.items() if members}


def plain_templates() -> frozenset[str]:
    """The English of every template that steps are said with.

    >>> "Dry it" in plain_templates()
    True
    """
    return frozenset(_home())


def _home() -> dict[str, str]:
    """The section of each template of a step."""
    home = dict.fromkeys(_texts(templates.FEATURES, STATION_LABELS, templates.STAGES), _NAMES)
    figures = _texts(LABELS, REFERENCES, BOUND_WORDS, COUNTED, UNITS_IN_WORDS)
    home |= dict.fromkeys((*figures, PIECES), _FIGURES)
    home |= dict.fromkeys(_texts(templates.SET, templates.HELD), _POSITIONS)
    done = _texts(templates.HEADLINES, templates.PHASES, templates.STEAM, templates.LOADED)
    return home | dict.fromkeys((*done, *templates.SENTENCES), _DONE)


def _texts(*tables: Mapping[Any, str] | Mapping[Any, tuple[str, str]]) -> Iterator[str]:
    for table in tables:
        for value in table.values():
            yield from (value,) if isinstance(value, str) else value

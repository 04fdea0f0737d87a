"""States at the wrong moment and work in the wrong order are heard, and the right ones are let be.

The sentences are invented. That what is open lets water and steam in, that cleaner is rinsed off and that
nothing wet is packed is asked by ISO 17664-1 (from memory); the order of a program is that of ISO 15883-1
(from memory): pre-rinse, wash, rinse, disinfection, drying.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from sinkside.draft import draft_text
from sinkside.review import review

_MADE = tomllib.loads(Path(__file__).with_name("moments.toml").read_text(encoding="utf-8"))
_FRAMES: dict[str, str] = _MADE["frames"]
_KEYS = ("rule", "place", "language", "said")
FAULTY = [tuple(one[key] for key in _KEYS) for one in _MADE["faulty"]]
RIGHT = [tuple(one[key] for key in _KEYS) for one in _MADE["right"]]
TEXTS = [(one["rule"], one["faulty"], one["right"]) for one in _MADE["texts"]]


def _text(place: str, language: str, said: str) -> str:
    """A short text in which some words stand at a place, such as in the chapter on drying."""
    if place == "bath":
        body = _FRAMES[f"clean_{language}"].format(said) + _FRAMES[f"soak_{language}"]
    else:
        body = _FRAMES[f"{place}_{language}"].format(said)
    return _FRAMES[f"title_{language}"] + body


def _rules(text: str) -> set[str]:
    return {finding.rule for finding in review(draft_text(text))}


@pytest.mark.parametrize(("rule", "place", "language", "said"), FAULTY)
def test_a_wrong_moment_is_heard(rule: str, place: str, language: str, said: str) -> None:
    """The rule speaks of the words with the fault, in each language that is read."""
    assert rule in _rules(_text(place, language, said))


@pytest.mark.parametrize(("rule", "place", "language", "said"), RIGHT)
def test_a_right_moment_is_let_be(rule: str, place: str, language: str, said: str) -> None:
    """The rule is silent on the same work done at the right moment."""
    assert rule not in _rules(_text(place, language, said))


@pytest.mark.parametrize(("rule", "faulty", "right"), TEXTS)
def test_a_wrong_order_is_heard_and_the_right_one_let_be(rule: str, faulty: str, right: str) -> None:
    """The rule speaks of steps in the wrong order, and is silent on the same steps in the right one."""
    assert rule in _rules(_FRAMES["title_en"] + faulty)
    assert rule not in _rules(_FRAMES["title_en"] + right)


def test_a_lone_row_is_no_chapter_that_ends_in_cleaner() -> None:
    """A table names each row by its own word: what soaks in one row is rinsed a few rows below."""
    rows = (
        "No  Stage     Part  What is done                 Value\n"
        "1   Soaking   A     in enzymatic cleaner         5 mL/L, 10 min\n"
        "2   Brushing  A     brush jaw and hinge          1 min\n"
        "3   Rinsing   A     in purified water            1 min\n"
    )
    assert "way-ends-in-cleaner" not in _rules(_FRAMES["title_en"] + rows)


def test_what_shuts_the_packed_port_is_shown_with_the_packing() -> None:
    """Words as short as "Port capped." are told together with the packing that they belong to."""
    text = (
        "P - PACKING\nP1 Put it into a box, the box into a pouch. Port capped.\n\n"
        "S - STEAM\nS1 Prevacuum, 134 °C, 5 minutes.\n"
    )
    told = review(draft_text(_FRAMES["title_en"] + text))
    found = [one for one in told if one.rule == "port-capped-in-steam"]
    shown = {place.text for one in found for place in (one.place, *one.more_places)}
    assert any(said and "pouch" in said for said in shown)

"""The published figures as data."""

from __future__ import annotations

from collections import Counter

import pytest

from sinkside.errors import BadInput, BadQuantity
from sinkside.limits import Limit, LimitKind, Relation, all_published, published, topics
from sinkside.limits.units import base_unit


def test_every_figure_is_carried() -> None:
    """The 308 published figures and our own two are there, on 22 topics."""
    by_topic = Counter(figure.topic for figure in all_published().values())
    assert sum(by_topic.values()) == 310
    assert by_topic["plausibility"] == 2
    assert (by_topic["water"], by_topic["steam"], by_topic["recall"]) == (55, 35, 4)
    assert set(by_topic) == set(topics())


def test_how_the_figures_were_read() -> None:
    """As many figures were read, computed, quoted, remembered and taken from practice as the record says."""
    ways = Counter(figure.source.how_read for figure in all_published().values())
    assert ways == {"second-hand": 142, "memory": 70, "read": 47, "computed": 33, "common-practice": 18}


@pytest.mark.parametrize("limit", all_published().values(), ids=lambda limit: limit.id)
def test_every_figure_is_whole(limit: Limit) -> None:
    """Each figure has ends in order, a context that is a sentence, and a jurisdiction that is known."""
    assert limit.value[0] <= limit.value[1]
    assert (limit.value[0] == limit.value[1]) == (limit.relation is not Relation.between)
    assert limit.context.endswith(".")
    assert limit.jurisdiction in {"us", "eu", "uk", "de", "international"}
    assert limit.text()


def test_observations_are_known_by_what_is_said_of_them() -> None:
    """A figure whose note calls it an observation, a warning or contested is of that kind."""
    for figure in all_published().values():
        if "Observation, not a limit." in figure.note:
            assert figure.kind is LimitKind.observation, figure.id
        if "Threshold of a warning" in figure.note:
            assert figure.kind is LimitKind.warning_threshold, figure.id
        if "do not apply" in figure.note:
            assert figure.kind is LimitKind.contested, figure.id


def test_soiled_lumens_that_stayed_unsterile_are_observations() -> None:
    """The 35, 49 and 26 % of sterilized carriers in soiled lumens (CDC 2008, Table 11) are no pass marks."""
    ids = (
        "lowtemp-lumen-125cm-3mm-soiled-lowest",
        "lowtemp-lumen-125cm-3mm-soiled-highest",
        "lowtemp-lumen-40cm-1mm",
    )
    assert {published(figure).kind for figure in ids} == {LimitKind.observation}


def test_alert_and_action_rows_are_triggers() -> None:
    """Cleaning alert and action levels, the gas action level and the recall counts are triggers."""
    triggers = {figure.id for figure in all_published().values() if figure.kind is LimitKind.trigger}
    assert {"cleaning-protein-alert", "cleaning-protein-action", "eo-action-level"} <= triggers
    assert len([figure for figure in triggers if figure.startswith("cleaning-")]) == 12
    assert len([figure for figure in triggers if figure.startswith("recall-")]) == 3


def test_an_unknown_id_gets_what_was_perhaps_meant() -> None:
    """A mistyped id is answered with the ids that are close to it."""
    with pytest.raises(BadInput, match="close to it are pairs-270f"):
        published("pair-270f")
    with pytest.raises(BadInput, match="`sinkside limits` names them all"):
        published("zzzz")


@pytest.mark.parametrize(
    "unit", ["air changes/h", "CFU/mL", "mbar per 10 K", "psi per 1000 ft", "ppm 8-h TWA"]
)
def test_units_that_nothing_else_is_measured_in_are_kept_apart(unit: str) -> None:
    """A unit with more than a known word behind it is never taken for the unit at its start."""
    with pytest.raises(BadQuantity, match="in that unit only"):
        base_unit(unit)

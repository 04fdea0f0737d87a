"""Limits profiles and overrides."""

from __future__ import annotations

import pytest

from sinkside.errors import BadInput
from sinkside.limits import LimitKind, profile, profile_names, published


@pytest.mark.parametrize("name", profile_names())
def test_a_profile_holds_its_own_and_international_limits(name: str) -> None:
    """Only limits are returned as limits, only those of the profile's jurisdictions, its own first."""
    limits = profile(name).limits()
    assert len(limits) > 30
    assert {limit.kind for limit in limits} == {LimitKind.limit}
    order = [limit.jurisdiction for limit in limits]
    assert order == [name] * order.count(name) + ["international"] * order.count("international")


def test_limits_by_topic_and_quantity() -> None:
    """Limits can be asked for by topic and by quantity."""
    found = profile("uk").limits(topic="steam", quantity="time")
    assert [limit.value[0] for limit in found] == [30, 15, 10, 3]


def test_observations_are_never_limits() -> None:
    """Asking for an observation as a limit is refused; it can be looked up as what it is."""
    with pytest.raises(BadInput, match="of kind 'observation', not a limit"):
        profile("eu").limit("blood-hardest-to-remove")
    assert profile("eu").figure("blood-hardest-to-remove").ends("h") == (1, 2)


def test_a_limit_of_elsewhere_is_refused_by_name() -> None:
    """A figure of another jurisdiction is not in force, and can be looked up as published."""
    with pytest.raises(BadInput, match="holds in 'us' and is not in force in profile 'eu'"):
        profile("eu").limit("mass-set-limit-us")
    assert published("mass-set-limit-us").jurisdiction == "us"


def test_unknown_names_are_answered_with_the_known_ones() -> None:
    """An unknown profile or topic is an error that names those there are."""
    with pytest.raises(BadInput, match="no limits profile 'mars'; expected one of us, eu, uk"):
        profile("mars")
    with pytest.raises(BadInput, match="no figures are published on 'weather'; expected one of air, "):
        profile("eu").limits(topic="weather")


def test_an_override_is_remembered() -> None:
    """A department's own figure is in force and says what was published and why."""
    site = profile("us").override("mass-set-limit-us", 9, reason="Two of us lift alone.")
    limit = site.limit("mass-set-limit-us")
    assert limit.met_by(9.0)
    assert not limit.met_by(10.0)
    assert limit.override is not None
    assert (limit.override.published, limit.override.reason) == ((11.34, 11.34), "Two of us lift alone.")
    assert limit in site.limits(topic="mass")
    assert profile("us").limit("mass-set-limit-us").override is None


def test_a_second_override_still_knows_what_was_published() -> None:
    """Overriding again replaces the first figure and keeps the published one."""
    site = (
        profile("us")
        .override("mass-set-limit-us", 9, reason="a")
        .override("mass-set-limit-us", 8, reason="b")
    )
    assert [(kept.value, kept.published) for kept in site.overrides] == [((8, 8), (11.34, 11.34))]


def test_an_override_of_a_range() -> None:
    """A range is replaced by a range."""
    site = profile("eu").override("water-feed-ph-en285", (6, 7), reason="Our generator's maker asks for it.")
    assert site.limit("water-feed-ph-en285").ends() == (6, 7)


@pytest.mark.parametrize(
    ("figure", "value", "reason", "said"),
    [
        ("mass-set-limit-us", 9, "  ", "needs a reason"),
        ("mass-set-limit-us", (8, 9), "why", "expected one number in kg"),
        ("work-area-humidity", 50, "why", "expected two numbers, from and to in % RH"),
        ("work-area-humidity", (60, 30), "why", "60 to 30 % RH is no range"),
        ("mass-set-limit-us", float("nan"), "why", "no range"),
        ("rescue-soak-time", 20, "why", "not a limit"),
        ("mass-container-europe", 9, "why", "not in force"),
    ],
)
def test_overrides_that_do_not_fit_are_refused(
    figure: str, value: float | tuple[float, float], reason: str, said: str
) -> None:
    """An override without reason, of the wrong shape, or of no limit in force is refused in words."""
    with pytest.raises(BadInput, match=said):
        profile("us").override(figure, value, reason=reason)

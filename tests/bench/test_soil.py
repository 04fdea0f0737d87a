"""The soil clock: the device's own time, the strictest member's, none stated is now; it only worsens."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import permutations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.bench.soil import (
    Delay,
    delay_of,
    measures_of,
    question_to_maker,
    soil_clock,
    span,
    worse_of,
)
from sinkside.instruction import Device, Instruction, Origin, Step
from sinkside.quantities import Figure

NOON = datetime(2026, 12, 1, 12, 0, tzinfo=UTC)
DELAYS = st.lists(
    st.builds(Delay, device=st.sampled_from("ABC"), within_s=st.none() | st.floats(0, 90_000)),
    min_size=1,
    max_size=4,
)


def _text(*steps: dict[str, Any]) -> Instruction:
    made = [Step.model_validate({"id": f"s{n}", **one}) for n, one in enumerate(steps, 1)]
    return Instruction(device=Device(name="Invented hook"), steps=tuple(made))


def _within(time: Figure, **more: Any) -> dict[str, Any]:
    return {"stage": "transport", "action": "start-cleaning", "figures": (time,), **more}


def _at_most(number: float, unit: str, role: str | None = "time-since-use") -> Figure:
    return Figure(quantity="time", max=number, unit=unit, role=role, as_written=f"within {number:g} {unit}")


def test_scene_12_is_late_by_two_hours_and_three_quarters() -> None:
    """A case ends 13:05, the text says within 60 min, the set arrives 16:50: 2 h 45 min late."""
    used = NOON.replace(hour=13, minute=5)
    clock = soil_clock(used, [delay_of(_text(_within(_at_most(60, "min"))))])
    assert clock.begin_by == NOON.replace(hour=14, minute=5)
    assert span(clock.late_s(NOON.replace(hour=16, minute=50))) == "2 h 45 min"


def test_the_strictest_of_several_times_rules() -> None:
    """A text that states 4 h in one place and 1 h in another is held to the hour."""
    text = _text(_within(_at_most(4, "h")), _within(_at_most(1, "h"), stage="cleaning"))
    assert delay_of(text).within_s == 3600


def test_a_time_for_wiping_is_no_time_for_cleaning() -> None:
    """'Wipe within 10 min' lets nothing wait: it neither sets the clock nor shortens it."""
    wipe = {"stage": "point-of-use", "action": "wipe", "figures": (_at_most(10, "min"),)}
    assert delay_of(_text(wipe)).within_s is None
    assert delay_of(_text(wipe, _within(_at_most(2, "h")))).within_s == 7200


def test_where_a_member_states_no_time_cleaning_begins_now() -> None:
    """One member without a time makes the whole set due at once, whatever the others allow."""
    clock = soil_clock(NOON, [Delay(device="A", within_s=3600), Delay(device="B")])
    assert (clock.begin_by, clock.unstated) == (NOON, ("B",))
    assert clock.late_s(NOON + timedelta(minutes=5)) == 300


@given(st.lists(st.tuples(st.integers(0, 600), DELAYS), min_size=1, max_size=4))
def test_it_only_worsens_in_whatever_order_it_is_told(told: list[tuple[int, Sequence[Delay]]]) -> None:
    """No report moves the time by which cleaning must have begun later; the order of reports says nothing."""
    clocks = [soil_clock(NOON + timedelta(minutes=minutes), delays) for minutes, delays in told]
    ends = set()
    for order in permutations(clocks):
        kept = worse_of(None, order[0])
        for one in order[1:]:
            before, kept = kept, worse_of(kept, one)
            assert kept.begin_by <= before.begin_by
            assert kept.used <= before.used
        ends.add((kept.used, kept.begin_by))
    assert ends == {(min(one.used for one in clocks), min(one.begin_by for one in clocks))}


def test_the_texts_own_measure_is_found_in_its_words() -> None:
    """A step for soil that has dried is what the text itself asks of a late set, with its place."""
    words = "If soil has dried on, soak the hook for 30 min in enzymatic cleaner before brushing."
    soak = {"stage": "cleaning", "action": "soak", "origin": Origin(page=2, line=7, text=words)}
    (measure,) = measures_of(_text(_within(_at_most(1, "h")), soak))
    assert (measure.words, measure.where.page, measure.step) == (words, 2, "s2")


@pytest.mark.parametrize(
    "words",
    [
        "Do not let blood dry on the hook.",
        "Keep the hook moist so that no soil dries on.",
        "Begin cleaning within 1 h after use.",
    ],
)
def test_a_text_that_only_forbids_drying_has_no_measure(words: str) -> None:
    """Sentences that keep soil from drying say nothing about soil that has dried."""
    step = {"stage": "cleaning", "action": "rinse", "origin": Origin(text=words)}
    assert measures_of(_text(step)) == ()


def test_a_german_text_has_its_measure_too() -> None:
    """The words are heard through the gloss, and quoted as the document prints them."""
    words = "Bei angetrocknetem Blut 30 min einlegen."
    text = _text({"stage": "cleaning", "action": "soak", "origin": Origin(text=words)})
    document = text.device.document.model_copy(update={"language": "de"})
    german = text.model_copy(update={"device": text.device.model_copy(update={"document": document})})
    (measure,) = measures_of(german)
    assert measure.words == words


def test_the_question_quotes_the_text_and_says_how_late() -> None:
    """The maker hears the words of the text and the span; a text without a time is said to state none."""
    late = question_to_maker(Delay(device="Hook", within_s=3600, as_written="within 60 min"), 9900)
    assert '"within 60 min"; it began 2 h 45 min later' in late
    assert question_to_maker(Delay(device="Hook"), 600).startswith("Your text states no time between use")

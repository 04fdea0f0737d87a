"""What an observer watches for, which of it is critical, and how far what was seen may lead."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sinkside.documents import load
from sinkside.instruction import Instruction, Step
from sinkside.quantities import Figure
from sinkside.route import Station
from sinkside.teach.borescope import NEXT, Picture, Shows, pictures, read
from sinkside.teach.observing import Criterion, Mark, criteria_of, may_be_given, outcome_of, stations_of
from sinkside.teach.observing_policy import CriterionKind, Manner, observing_policy
from sinkside.teach.sign_offs import Level

_DATA = Path(str(resources.files("sinkside.demo"))) / "data" / "instructions"
DISSECTOR = load(Instruction, _DATA / "modular-dissector.yaml")


#: Reading a text takes longer than weighing what was seen of it.
_STATIONS = stations_of(DISSECTOR)
_OF_DISSECTOR = {station: criteria_of(DISSECTOR, None, station) for station in _STATIONS}


def _criteria(station: Station = Station.sink, text: Instruction = DISSECTOR) -> tuple[Criterion, ...]:
    return _OF_DISSECTOR[station] if text is DISSECTOR else criteria_of(text, None, station)


def _all_done(criteria: tuple[Criterion, ...], **other: Mark) -> dict[str, Mark]:
    return {one.id: Mark.done for one in criteria} | other


def test_every_step_of_a_station_is_watched_and_no_other() -> None:
    """The criteria of all stations together come from every step, each from one station alone."""
    by_station = {station: _criteria(station) for station in _STATIONS}
    from_steps = [(step, one.station) for found in by_station.values() for one in found for step in one.steps]
    assert {step for step, _ in from_steps} == {step.id for step in DISSECTOR.steps}
    assert len(set(from_steps)) == len({step for step, _ in from_steps})


@pytest.mark.parametrize(
    ("station", "words"),
    [
        (Station.sink, "Take it apart"),
        (Station.sink, "Counts the parts: 3, none missing and none broken"),
        (Station.sink, "Soak it, fully under"),
        (Station.sink, "Ratchet released"),
        (Station.bench, "Test the insulation"),
        (Station.bench, "Reads pictures of a channel's inside as they are"),
        (Station.packing, "Jaw open"),
        (Station.sterilizer, "Steam with vacuum"),
        (Station.sink, observing_policy().protection[Station.sink]),
    ],
)
def test_what_cannot_be_made_up_for_is_critical_and_says_why(station: Station, words: str) -> None:
    """Positions, times, protection, taking apart, counting, looking and the named cycle are critical."""
    found = [one for one in _criteria(station) if one.words == words]
    assert found, [one.words for one in _criteria(station)]
    assert all(one.critical.endswith(".") for one in found)


def test_not_everything_is_critical() -> None:
    """Oil, brushing and moving a joint may be made up for; a form on which all is critical marks nothing."""
    every = [one for station in stations_of(DISSECTOR) for one in _criteria(station)]
    assert 0.2 < sum(one.is_critical for one in every) / len(every) < 0.8
    assert not [one for one in every if one.words.startswith(("Oil", "Move")) and one.is_critical]


def test_a_criterion_keeps_its_number_until_what_it_asks_changes() -> None:
    """A longer soak changes the number of the soak alone; the others are the same as before."""

    def longer(step: Step) -> Step:
        if step.action != "soak":
            return step
        figures = tuple(
            Figure(quantity="time", min=15, unit="min", as_written="15 min")
            if one.quantity == "time"
            else one
            for one in step.figures
        )
        return step.model_copy(update={"figures": figures})

    changed = DISSECTOR.model_copy(update={"steps": tuple(longer(step) for step in DISSECTOR.steps)})
    before, after = ({one.id: one.words for one in _criteria(text=text)} for text in (DISSECTOR, changed))
    assert [before[one] for one in before.keys() - after.keys()] == ["Soak it, fully under"]
    assert len(after) == len(_criteria(text=changed)) == len(before)


def test_all_seen_done_is_independent_work() -> None:
    """Where every criterion was seen done, nothing stands against work alone."""
    criteria = _criteria()
    outcome = outcome_of(criteria, _all_done(criteria))
    assert (outcome.highest, outcome.reasons) == (Level.independent, ())
    assert outcome.sentence == f"{len(criteria)} of {len(criteria)} seen done."


@settings(max_examples=200, deadline=None)
@given(data=st.data())
def test_a_missed_critical_criterion_is_never_independent_work(data: st.DataObject) -> None:
    """Whatever else was seen: one critical miss, or one critical point unseen, and it is not independent."""
    criteria = _criteria(data.draw(st.sampled_from(_STATIONS)))
    marks = {one.id: data.draw(st.sampled_from([Mark.done, Mark.done, *Mark])) for one in criteria}
    outcome = outcome_of(criteria, marks)
    failed = [one for one in criteria if one.is_critical and marks[one.id] is not Mark.done]
    assert not (failed and outcome.highest is Level.independent)
    assert bool(outcome.reasons) is (outcome.highest is not Level.independent)
    assert (Level.independent in may_be_given(outcome)) is (outcome.highest is Level.independent)
    assert {one.id for one in outcome.not_seen} == {
        one.id for one in criteria if marks[one.id] is Mark.not_seen
    }


@settings(max_examples=100, deadline=None)
@given(data=st.data())
def test_seeing_more_done_never_leads_to_less(data: st.DataObject) -> None:
    """Turning one missed or unseen point into one seen done never lowers the level."""
    criteria = _criteria(Station.bench)
    marks = {one.id: data.draw(st.sampled_from([Mark.done, Mark.done, *Mark])) for one in criteria}
    better = {**marks, data.draw(st.sampled_from(criteria)).id: Mark.done}
    ranks = list(Level)
    reached = [ranks.index(outcome_of(criteria, seen).highest) for seen in (marks, better)]
    assert reached[0] <= reached[1]


def test_one_critical_miss_is_supervised_and_two_are_not_yet() -> None:
    """By the rule that comes with Sinkside, one critical miss leaves supervised work, a second none."""
    criteria = _criteria()
    critical = [one for one in criteria if one.is_critical]
    one = outcome_of(criteria, _all_done(criteria, **{critical[0].id: Mark.missed}))
    two = outcome_of(criteria, _all_done(criteria, **{c.id: Mark.missed for c in critical[:2]}))
    assert (one.highest, two.highest) == (Level.supervised, Level.not_yet)
    assert critical[0].words in one.reasons[0]


def test_what_nobody_saw_is_said_as_unseen() -> None:
    """Without a single mark nothing was seen, nothing was missed, and it is not yet."""
    criteria = _criteria()
    outcome = outcome_of(criteria, {})
    assert outcome.highest is Level.not_yet
    assert outcome.sentence == f"0 of {len(criteria)} seen done; {len(criteria)} not seen."
    assert not outcome.critical_missed


def test_a_return_demonstration_leads_to_supervised_work_at_most() -> None:
    """What was shown back on a device that goes to nobody has still to be seen at work."""
    criteria = _criteria()
    outcome = outcome_of(criteria, _all_done(criteria), manner=Manner.return_demonstration)
    assert outcome.highest is Level.supervised
    assert "Return demonstration" in outcome.reasons[0]


def test_pictures_are_asked_for_only_where_a_channel_is_looked_into() -> None:
    """A device without a lumen, and every other station, has no pictures to be read."""
    scissors = load(Instruction, _DATA / "micro-scissors.yaml")
    kinds = {one.kind for station in stations_of(scissors) for one in _criteria(station, scissors)}
    assert CriterionKind.pictures not in kinds
    where = [s for s in _STATIONS if any(c.kind == "pictures" for c in _criteria(s))]
    assert where == [Station.bench]


def test_pictures_show_every_kind_and_do_not_tell_by_their_words() -> None:
    """Eight pictures hold all seven kinds; the same seed draws the same; no description names its answer."""
    shown = pictures(7)
    assert {one.shows for one in shown} == set(Shows)
    assert shown == pictures(7) != pictures(8)
    assert len({one.drawing for one in shown}) == len(shown)
    assert not [one for one in shown if one.shows.value in one.described.lower()]
    assert set(NEXT) == set(Shows)


def _told(shown: tuple[Picture, ...], **other: Shows) -> dict[str, Shows]:
    return {one.id: one.shows for one in shown} | other


def test_soil_that_is_taken_for_clean_is_never_enough() -> None:
    """One picture called something else may pass; one passed as clean that is not never does."""
    shown = pictures(11)
    soiled = next(one for one in shown if one.shows is Shows.soil)
    assert read(shown, _told(shown)).is_enough
    assert read(shown, _told(shown, **{soiled.id: Shows.pitting})).is_enough
    passed = read(shown, _told(shown, **{soiled.id: Shows.clean}))
    assert not passed.is_enough
    assert passed.sentence == "7 of 8 pictures read as they are; 1 passed that must not be."


def test_a_picture_that_was_not_read_is_said() -> None:
    """Pictures without an answer are counted as not read, and the reading is not enough."""
    reading = read(pictures(2), {})
    assert (reading.not_read, reading.right, reading.is_enough) == (8, 0, False)

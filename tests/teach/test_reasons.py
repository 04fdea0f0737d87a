"""The catalogue of reasons: each with a source or an honest word, in every language, told where it fits."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from sinkside.instruction import Action, Device, Feature, Instruction, Step
from sinkside.plain import LANGUAGES
from sinkside.plain.reviewing import templates_of
from sinkside.route import Operation, Station
from sinkside.sources import WAYS_OF_READING
from sinkside.teach.reasons import About, Reason, reasons, reasons_of

DEVICE = Device(
    name="Shaver",
    features=(Feature(id="j", kind="jaw"), Feature(id="l", kind="lumen"), Feature(id="i", kind="insulation")),
)


def _told(about: About = About.why, **fields: object) -> list[str]:
    step = Step.model_validate({"id": "s1", "stage": "cleaning", "action": "brush", **fields})
    text = Instruction(device=DEVICE, steps=(step,))
    operation = Operation(
        letter="A",
        stage=step.stage,
        station=Station.sink,
        steps=("s1",),
        action=step.action,
        on=step.on,
        positions=step.positions,
    )
    return [one.id for one in reasons_of(operation, text) if one.about is about]


def test_every_reason_says_whose_it_is() -> None:
    """Each reason has an entry of the bibliography, and says how we came by it."""
    for one in reasons():
        assert one.origin.title
        assert one.origin.how_read in WAYS_OF_READING
        assert one.whose.endswith(f"({WAYS_OF_READING[one.origin.how_read]})")


def test_a_reason_is_short_and_carries_no_figure() -> None:
    """Figures come from the instruction alone; a sentence of at most 20 words is one that is kept."""
    for one in reasons():
        assert not any(sign.isdigit() for sign in one.text)
        assert len(one.text.split()) <= 20


@pytest.mark.parametrize("language", [one for one in LANGUAGES if one != "en"])
def test_every_reason_can_be_said(language: str) -> None:
    """Each reason is a template of plain words in every language, to be reviewed like any other."""
    here = {template.english: template.text for template in templates_of(language)}
    assert [one.text for one in reasons() if one.text not in here] == []
    assert [one.text for one in reasons() if here[one.text] == one.text] == []


def test_a_closed_jaw_is_explained_by_water_and_by_steam() -> None:
    """An open jaw is for the water while it is cleaned, and for the steam once it is packed."""
    jaw = {"jaw": "open"}
    assert "jaw-open-wet" in _told(positions=jaw)
    assert "jaw-open-steam" in _told(stage="sterilization", action="sterilize", positions=jaw)
    assert "jaw-open-wet" not in _told(stage="sterilization", action="sterilize", positions=jaw)
    assert _told(stage="storage", action="store", positions=jaw) == ["store"]


def test_what_fits_more_narrowly_is_told_first() -> None:
    """A brush in a lumen is explained by the lumen before it is by brushing as such."""
    assert _told(on=("l",)) == ["brush-lumen", "brush-film"]
    assert _told(on=("j",)) == ["brush-film"]


def test_insulation_is_tested_for_sparks_and_not_for_running_smoothly() -> None:
    """What good and bad look like goes by the feature that a step is about."""
    assert _told(About.bad, stage="inspection", action="test", on=("i",)) == ["bad-insulation"]
    assert _told(About.bad, stage="inspection", action="test", on=("j",)) == ["bad-test"]


def test_a_reason_for_every_step_is_refused() -> None:
    """A reason that asks nothing of a step, or for a position that there is not, is a fault of the file."""
    with pytest.raises(ValidationError, match="told of every step"):
        Reason(id="x", about=About.why, text="Because.", source="trade-practice")
    with pytest.raises(ValidationError, match="no positions: jaw: ajar"):
        Reason(
            id="x",
            about=About.why,
            text="Because.",
            positions=frozenset({"jaw: ajar"}),
            source="trade-practice",
        )


def test_actions_without_any_reason_are_known() -> None:
    """Every action has a why but those that explain themselves or are only a maker's own words."""
    explained = {action for one in reasons() if one.about is About.why for action in one.actions}
    by_position = Action.set_position
    assert set(Action) - explained == {by_position, Action.send_for_repair, Action.repeat, Action.other}

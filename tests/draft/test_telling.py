"""Work that is told and not asked, and stages of work that no heading guides (wordings from memory)."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.attaching import attached
from sinkside.draft.lexicon import read_words
from sinkside.draft.positions import positions_in
from sinkside.draft.telling import told
from sinkside.instruction import Action, Stage


@pytest.mark.parametrize(
    ("heading", "words", "stage", "action"),
    [
        ("In theatre", "The scrub nurse wipes the shaft with a wet swab.", Stage.point_of_use, Action.wipe),
        ("Cleaning", "She squirts water down the channel.", Stage.cleaning, Action.flush),
        ("Inspection", "The jaws meet along their whole length.", Stage.inspection, Action.inspect),
        ("Storage", "The packs sit on a closed shelf.", Stage.storage, Action.store),
    ],
)
def test_what_is_told_in_the_present_is_to_be_done(
    heading: str, words: str, stage: Stage, action: Action
) -> None:
    """Some makers tell how it is done, and ask nobody; under a heading with a stage that is a step."""
    (step,) = draft_text(f"{heading}\n\n{words}\n").steps
    assert (step.stage, step.action) == (stage, action)


@pytest.mark.parametrize(
    "words", ["The foam keeps soil from setting.", "Brushing removes what the eye does not see."]
)
def test_what_agents_and_work_do_asks_for_nothing(words: str) -> None:
    """The subject of the sentence is no person and no device: it explains."""
    assert told(read_words(words)) == (None, "")


def test_work_without_headings_goes_in_order() -> None:
    """Wiping before the way to the department is done at the table; a valve is opened to dry while drying."""
    text = """Dear colleagues,

    Wipe the shaft with a wet swab. Cover it with a damp cloth. Send it to the department within 1 hour.

    Soak it for 5 min. Brush it for 2 min. Rinse it under running water.

    Dry it with a cloth. Open the valve. Blow air through the channel for 20 s.
    """
    stages = [step.stage for step in draft_text(text).steps]
    assert stages == [
        *[Stage.point_of_use, Stage.point_of_use, Stage.transport],
        *[Stage.cleaning] * 3,
        *[Stage.drying] * 3,
    ]


@pytest.mark.parametrize(
    ("words", "action", "expected"),
    [
        ("Connect the flush port to the adaptor.", Action.connect, {"port": "connected"}),
        ("Couple the channel to one of the spigots.", Action.connect, {"port": "connected"}),
        ("Pull the rubber cap off the flush port.", Action.take_apart, {"port": "open"}),
        ("Screw the caps onto both ports.", Action.put_together, {"port": "capped"}),
        ("Screw the cap nut onto the port.", Action.put_together, {}),
        ("Connect the cable to the handle.", Action.connect, {}),
    ],
)
def test_connecting_and_capping_leave_a_port_so(words: str, action: Action, expected: dict[str, str]) -> None:
    """A port is connected to whatever water comes from, and closed by whatever is put on it."""
    assert attached(read_words(words), action) == expected


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("The jaws are propped open.", {"jaw": "open"}),
        ("The tips stand apart.", {"jaw": "open"}),
        ("The jaws stay agape.", {"jaw": "open"}),
        ("It is closed to the first click.", {"ratchet": "engaged"}),
    ],
)
def test_states_are_told_in_many_words(words: str, expected: dict[str, str]) -> None:
    """How a feature comes to its state, or stays in it, may stand between the two."""
    assert positions_in(read_words(words)) == expected


def test_numbers_that_count_on_begin_items_in_small_letters() -> None:
    """'1.1 wand: …' behind '1 THEATRE' is an item, as '2.1' behind '2' is; a wrapped '3 and 4' goes on."""
    text = "1  CLEANING\n1.1 brush the bore for 2 min\n1.2 rinse it for 1 min\n2  DRYING\n2.1 wipe it dry\n"
    assert [step.number for step in draft_text(text).steps] == ["1.1", "1.2", "2.1"]
    assert len(draft_text("1. Brush it as in steps\n3 and 4 of the table.\n").steps) == 1

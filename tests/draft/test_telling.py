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
        ("Screw the hose onto the luer port.", Action.put_together, {"port": "connected"}),
        ("Fit the port with its stopper.", Action.put_together, {"port": "capped"}),
        ("The cap is not put on the side port.", Action.put_together, {}),
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
        ("Lay it in the basket with its hinge in the open state.", {"jaw": "open"}),
        ("Needle holder: ratchet on the first tooth.", {"ratchet": "engaged"}),
        ("Handle unlocked, nothing fitted to the port.", {}),
        ("Open the blades and flush the port.", {"jaw": "open"}),
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


def test_a_row_that_runs_across_a_chart_is_a_heading() -> None:
    """'D  HAND CLEANING' over labelled rows heads them; 'First flush' opens no stage of its own."""
    text = """B  AFTER THE PROCEDURE
Rod                     Pull the rod, then wipe it with a damp swab, within 10 min.
First flush             With the jaw open, flush the side port with 15 mL of sterile
                        water.

D  HAND CLEANING
Soak                    All parts fully under the surface of the solution, 8 min.
Flush                   Flush the side port with 40 mL of solution, then brush it
                        again.
"""
    drafted = draft_text(text)
    assert [heading.stage for heading in drafted.headings][:1] == [Stage.point_of_use]
    stages = {step.stage for step in drafted.steps if step.origin.line < 6}
    assert stages == {Stage.point_of_use}
    assert {step.stage for step in drafted.steps if step.origin.line > 6} == {Stage.cleaning}


def test_a_heading_between_two_stages_that_leave_one_is_that() -> None:
    """'GOOD TO GO' between transport and cleaning can only be preparation."""
    text = "TRANSPORT\n[ ] 1 Closed box.\n\nGOOD TO GO\n[ ] 2 A and B side by side in a basket.\n\n"
    text += "CLEANING\n[ ] 3 Rinse.\n"
    stages = [step.stage for step in draft_text(text).steps]
    assert stages == [Stage.transport, Stage.preparation, Stage.cleaning]


def test_what_is_asked_before_a_ban_is_a_step() -> None:
    """'… in a basket, never one inside the other' asks first and forbids then."""
    (step,) = draft_text("Preparation\n\n1. A and B side by side in a basket, never B inside A.\n").steps
    assert step.stage is Stage.preparation
    assert step.cautions == ("never B inside A.",)


@pytest.mark.parametrize(
    ("words", "language", "action"),
    [
        ("Limpieza\n\nSumérjala durante diez minutos en la solución.\n", "es", Action.soak),
        ("Limpieza\n\nEnjuáguelas bajo el grifo.\n", "es", Action.rinse),
        ("Nettoyage\n\nLa rincer à l'eau courante.\n", "fr", Action.rinse),
        ("Nettoyage\n\nOn brosse les mors pendant deux minutes.\n", "fr", Action.brush),
        ("Reinigung\n\nDanach legt man alle Teile für zehn Minuten in die Lösung ein.\n", "de", Action.soak),
    ],
)
def test_pronouns_beside_and_behind_verbs_ask(words: str, language: str, action: Action) -> None:
    """'Sumérjala', 'la rincer', 'on brosse', 'legt man': each language has its own place for the pronoun."""
    assert [step.action for step in draft_text(words, language=language).steps] == [action]


def test_a_longest_time_and_the_end_of_a_life_are_steps() -> None:
    """'Must not be longer than 18 minutes' limits the cycle; a life that ends with wear is counted."""
    exposure = draft_text("Steam\n\nThe exposure must not be longer than 18 minutes.\n").steps
    assert [step.stage for step in exposure] == [Stage.sterilization]
    worn = draft_text("Service life\n\nThe service life is determined by wear.\n").steps
    assert [step.stage for step in worn] == [Stage.maintenance]


def test_units_of_a_second_row_of_heads_may_stand_under_empty_cells() -> None:
    """Without outer strokes an empty first cell still counts, so every unit stands under its own head."""
    text = """CHART

Row | Step        | Agent     | Time | Temp. | Remarks
    |             |           | min  | °C    |
1   | Soak        | enzymatic | 10   | 35-43 | -
2   | WD: heat    | water     | 5    | 93    | A0 3000
3   | WD: hot air | -         | 20   | 110   | -
4   | Rest on rack | -        | 30   | -     | -
5   | Stock       | -         | -    | 15-25 | 12 months
"""
    steps = draft_text(text).steps
    assert [[figure.unit for figure in step.figures] for step in steps] == [
        ["min", "°C"],
        ["min", "°C", "s"],
        ["min", "°C"],
        ["min"],
        ["°C", "month"],
    ]
    stages = [step.stage for step in steps]
    assert stages[:3] == [Stage.cleaning, Stage.disinfection, Stage.drying]
    assert stages[-1] is Stage.storage


def test_a_heading_that_was_only_guessed_leads_nothing_that_never_belongs_there() -> None:
    """Under 'AFTER THAT' the device is looked at, and what is blown through before that is dried."""
    text = "CLEANING\n\nRinse it for 1 min.\n\nAFTER THAT\n\nBlow it through for 15 s. Look at the tip."
    steps = draft_text(text + " Inspect it. Check the jaw.\n\nPACKING\n\nPack it.\n").steps
    assert [step.stage for step in steps][1:3] == [Stage.drying, Stage.inspection]


def test_a_limit_of_some_rows_is_none_of_the_device() -> None:
    """'Up to row 10 nothing warmer than 40 °C' holds there; 'never above 135 °C' holds for the device."""
    scoped = draft_text(
        "Rules\n\nUp to and including row 10 nothing warmer than 40 °C may touch the parts.\n"
    )
    assert scoped.device.limits == ()
    assert [figure.max for told in scoped.statements for figure in told.figures] == [40.0]
    (whole,) = draft_text("Rules\n\nNothing warmer than 135 °C may touch the parts.\n").device.limits
    assert whole.max == 135.0

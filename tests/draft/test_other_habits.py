"""Habits of other makers' texts, in invented words: remarks to rows, bands, verbs that part, empty cells."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.lexicon import read_words
from sinkside.instruction import Action, Instruction, Stage

_TABLE = """Care sheet for the ARVEN clamp

| No. | Stage         | Part | Work                    | Values        |
| --- | ------------- | ---- | ----------------------- | ------------- |
| 1   | point of use  | all  | wipe with a damp cloth  | -             |
| 2   | transport     | all  | closed box, dry towel   | 60 min        |
| 3   | cleaning      | all  | rinse                   | 2 min         |
| 4   | sterilization | all  | steam, 3 vacuum pulses  | 134 °C, 4 min |

Notes
{remark}
"""


def _stages(drafted: Instruction, words: str) -> set[Stage]:
    return {step.stage for step in drafted.steps if words in step.origin.text}


@pytest.mark.parametrize(
    "remark",
    [
        "   to row 3   The water is cold.\n   to row 4   At 121 °C the time is 20 min.\n   to row 1   One.",
        "   on 3   The water is cold.\n   on 4   At 121 °C the time is 20 min.\n   on 1   One cloth each.",
        "* Note on 4: At 121 °C the time is 20 min.",
        "Re 4: At 121 °C the time is 20 min.",
        "Row 4: At 121 °C the time is 20 min.",
    ],
)
def test_a_remark_belongs_to_the_row_that_it_names(remark: str) -> None:
    """'to row 4', 'on 4', 'Note on 4:', 'Re 4:' and 'Row 4:' add to the step with that number."""
    drafted = draft_text(_TABLE.format(remark=remark))
    assert _stages(drafted, "At 121") == {Stage.sterilization}
    told = next(step for step in drafted.steps if "At 121" in step.origin.text)
    assert [figure.as_written for figure in told.figures] == ["121 °C", "20 min"]


def test_a_remark_to_no_row_leaves_its_words_alone() -> None:
    """A remark to a row that does not exist stays a statement, with its label in its words."""
    drafted = draft_text(_TABLE.format(remark="   to row 31   Spare parts come with a test sheet."))
    assert any("to row 31" in one.origin.text for one in drafted.statements)


def test_a_dry_towel_in_a_row_of_transport_dries_nothing() -> None:
    """'Closed box, dry towel' under transport is how it travels, and no drying."""
    drafted = draft_text(_TABLE.format(remark=""))
    assert _stages(drafted, "dry towel") == {Stage.transport}


def test_a_band_without_a_number_heads_the_rows_below_it() -> None:
    """'PACKING' in a row of its own heads what follows, in whatever cell it stands."""
    drafted = draft_text(
        "Guide to the ARVEN clamp\n\n"
        "| Item | What to do                                  |\n"
        "| ---- | ------------------------------------------- |\n"
        "|      | PACKING                                     |\n"
        "| 1    | Lay the clamp in a pouch with its jaw open. |\n"
        "|      | STERILISATION                               |\n"
        "| 2    | Steam, pre-vacuum, 134 °C, 4 minutes.       |\n"
        "|      | STORAGE                                     |\n"
        "| 3    | Dry, free of dust, at 5 to 40 °C.           |\n"
    )
    assert _stages(drafted, "Lay the clamp") == {Stage.packaging}
    assert _stages(drafted, "134") == {Stage.sterilization}
    assert _stages(drafted, "free of dust") == {Stage.storage}


def test_a_dash_far_from_words_is_an_empty_cell() -> None:
    """In a table set by spaces dashes are cells that hold nothing."""
    drafted = draft_text(
        "Sheet for the ARVEN mill\n\n"
        "Row  Stage        Part    Work               Means          min     C       Remark\n"
        "----------------------------------------------------------------------------------\n"
        "1    cleaning     all     rinse              tap water      2       30      cold\n"
        "2    cleaning     all     soak               cleaner        10      40      new bath\n"
        "3    control      all     look with a lens   -              -       -       soil: row 1\n"
        "4    packing      all     pouch              -              -       -       no folds\n"
        "5    sterilize    all     pre-vacuum         steam          5       134     -\n"
    )
    cycle = next(step for step in drafted.steps if step.stage is Stage.sterilization)
    assert {(figure.value, figure.unit) for figure in cycle.figures} == {(5.0, "min"), (134.0, "°C")}
    assert _stages(drafted, "look with a lens") == {Stage.inspection}


@pytest.mark.parametrize(
    ("sentence", "action"),
    [
        ("Ziehen Sie die Hülsen von den Griffen ab.", Action.take_apart),
        ("Spülen Sie mit entsalztem Wasser eine Minute nach.", Action.rinse),
        ("Blasen Sie den Kanal mit Druckluft durch.", Action.blow),
        ("Tupfen Sie das Gelenk ab und legen Sie es ins Sieb.", Action.dry),
        ("Schrauben Sie die Kappe los.", Action.take_apart),
    ],
)
def test_a_german_verb_that_parts_is_read(sentence: str, action: Action) -> None:
    """'Ziehen Sie … ab' is 'abziehen': its first half asks, its last word ends the clause."""
    drafted = draft_text(f"Reinigung\n\n1. {sentence}", language="de")
    assert drafted.steps[0].action is action


def test_a_preposition_is_no_half_of_a_verb() -> None:
    """In 'ab 60 °C' and 'nach Gebrauch' no clause ends, and no verb is made of them."""
    reading = read_words("Spülen Sie das Sieb nach Gebrauch mit Wasser ab 30 °C.", "de")
    assert [lexeme.last for lexeme in reading.all("action")][:1] == [1]


def test_a_stage_column_called_step_is_read() -> None:
    """Beside a column of numbers, 'Étape' names the stage of its row."""
    drafted = draft_text(
        "Fiche de traitement de la pince ARVEN\n\n"
        "| N° | Étape        | Élément | Opération            | Valeurs      |\n"
        "| -- | ------------ | ------- | -------------------- | ------------ |\n"
        "| 1  | bloc         | tous    | essuyer              | -            |\n"
        "| 2  | transport    | tous    | bac fermé            | 1 h au plus  |\n"
        "| 3  | nettoyage    | tous    | rincer               | 2 min        |\n",
        language="fr",
    )
    assert _stages(drafted, "essuyer") == {Stage.point_of_use}
    assert _stages(drafted, "bac fermé") == {Stage.transport}

"""Stages told by places, boxes, sentences over items and states of packs, in texts of our own."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.headings import leads_to
from sinkside.draft.lexicon import read_words
from sinkside.draft.positions import positions_in
from sinkside.draft.stages import stages_named
from sinkside.instruction import Action, Stage


def _stages(text: str, language: str = "en") -> list[Stage]:
    return [step.stage for step in draft_text(text, language=language).steps]


def test_a_sentence_that_names_a_stage_heads_the_items_that_hang_from_it() -> None:
    """'3 Hand washing.' over '3.1 …' is a heading, beside siblings with their text in the same line."""
    drafted = draft_text(
        "Plim clamp\n\n2 Transport. In a lidded crate.\n3 Hand washing.\n 3.1 Rinse the hinge for 40 s.\n"
        " 3.2 Scrub the box lock for 2 min.\n4 Drying. Blow the joint dry.\n"
    )
    assert [step.stage for step in drafted.steps] == [
        Stage.transport,
        Stage.cleaning,
        Stage.cleaning,
        Stage.drying,
    ]
    assert drafted.steps[1].heading == "Hand washing"


def test_a_single_word_that_asks_stays_a_step_among_its_siblings() -> None:
    """'3. Rinse.' between '2. …' and '4. …' is asked for and heads nothing."""
    drafted = draft_text("Cleaning\n\n1. Brush the hinge.\n2. Rinse.\n3. Dry.\n")
    assert [step.action for step in drafted.steps] == [Action.brush, Action.rinse, Action.dry]


def test_items_hang_from_letters_too() -> None:
    """'C1' and 'C.1' hang from 'C', and '12' does not from '1'."""
    assert leads_to("C", "C1")
    assert leads_to("C", "C.1")
    assert leads_to("4", "4.1")
    assert not leads_to("1", "12")
    assert not leads_to("C", "C")


@pytest.mark.parametrize(
    ("place", "language", "stage"),
    [
        ("BACK TABLE", "en", Stage.point_of_use),
        ("SOILED HOLD", "en", Stage.transport),
        ("WET BENCH", "en", Stage.cleaning),
        ("MICROSCOPE", "en", Stage.inspection),
        ("OP-Tisch", "de", Stage.point_of_use),
        ("LUPENPLATZ", "de", Stage.inspection),
        ("REGAL", "de", Stage.storage),
        ("Table d'opération", "fr", Stage.point_of_use),
        ("ATELIER", "fr", Stage.maintenance),
        ("MICROSCOPIO", "es", Stage.inspection),
        ("PILA", "es", Stage.cleaning),
    ],
)
def test_places_of_work_name_the_stage_that_is_done_there(place: str, language: str, stage: Stage) -> None:
    """Many makers head their sections by where the work is done."""
    assert stages_named(place, language)[:1] == (stage,)


_CHART = """
| Row | Where  | Part | What to do                       | Figures     |
|-----|--------|------|----------------------------------|-------------|
| 1   | Ward   | Q    | wipe with a wet swab             | within 8 min |
| 2   | Basin  | Q    | brush the groove                 | 12 strokes  |
| 3   | Care   | Q    | one drop of oil on the hinge     | -           |
| 4   | Try    | Q    | slide the rod in and out again   | 3 times     |
"""


def test_a_column_of_places_tells_stages_beside_one_that_counts_rows() -> None:
    """'Row' only counts, so what stands under 'Where' is the stage, and not what is done."""
    assert _stages(_CHART) == [Stage.point_of_use, Stage.cleaning, Stage.maintenance, Stage.inspection]


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("AT THE TABLE\n\n- Lay the hook on its mat, uncovered, and close the lid.\n", "en"),
        ("AM OP-TISCH\n\n- Den Haken in einen geschlossenen Behälter legen.\n", "de"),
        ("AU BLOC\n\n- Poser le crochet dans un bac fermé.\n", "fr"),
        ("EN QUIRÓFANO\n\n- Colocar el gancho en una caja cerrada.\n", "es"),
    ],
)
def test_a_box_that_is_shut_where_it_was_used_is_on_its_way(text: str, language: str) -> None:
    """Whoever lays the device in a box and shuts it sends it off, though no verb says so."""
    assert _stages(text, language) == [Stage.transport]


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("After the operation\n\n- On arrival, soak the hook in cleaner for 10 min.\n", "en"),
        ("Transport\n\n- Nach Ankunft den Haken 10 min in Reiniger einlegen.\n", "de"),
    ],
)
def test_what_is_done_on_arrival_is_preparation(text: str, language: str) -> None:
    """Under a heading of use or of the way, 'on arrival' says that the device has got there."""
    assert _stages(text, language) == [Stage.preparation]


def test_a_box_to_tick_keeps_the_number_behind_it() -> None:
    """'[ ] D4  …' is item D4, and what refers to it finds it."""
    drafted = draft_text("SINK\n\n[ ] D4  Rinse for 1 min.\n[ ] D5  Soil left? Back to D4.\n")
    assert [step.number for step in drafted.steps][:1] == ["D4"]
    assert drafted.steps[-1].repeats == ("D4",)


def test_to_release_a_part_is_no_release_of_a_load() -> None:
    """'Release: the ratchet must …' under inspection is seen there, and sends no load out."""
    tried = draft_text("Inspection\n\n- Lock the ratchet. Release: the ratchet must spring back by itself.\n")
    assert {step.stage for step in tried.steps} == {Stage.inspection}


def test_goods_that_are_whole_and_dry_are_not_packed_again() -> None:
    """'Pouch intact and dry?' before use asks for a look, and for no packing."""
    drafted = draft_text("Storage\n\n- Before use: pouch intact and dry?\n- Wrap torn: do not use.\n")
    assert Action.pack not in {step.action for step in drafted.steps}


def test_a_condition_ends_at_its_colon() -> None:
    """'If soil is left: back to 2' asks for the repeat; only the condition is none of it."""
    drafted = draft_text("Inspection\n\n1. Look at the hinge.\n2. If soil is left: back to 1.\n")
    assert drafted.steps[-1].action is Action.repeat
    assert drafted.steps[-1].repeats == ("1",)


def test_a_dry_tissue_that_shows_no_water_belongs_to_drying() -> None:
    """Whoever looks whether anything is wet still dries."""
    drafted = draft_text("Drying\n\n- Blow the groove. Check with a dry tissue that no water is left.\n")
    assert {step.stage for step in drafted.steps} == {Stage.drying}


@pytest.mark.parametrize(
    ("sentence", "positions"),
    [
        ("Attach a syringe to the port and flush it with 30 mL of water.", {}),
        ("Attach the port to the irrigation nozzle.", {"port": "connected"}),
        ("Lay the hook in the basket, port cap beside it.", {}),
        ("The cap sits on the port.", {"port": "capped"}),
    ],
)
def test_what_is_held_in_the_hand_connects_no_port(sentence: str, positions: dict[str, str]) -> None:
    """A syringe is taken off again, and a port cap in a basket closes nothing."""
    steps = draft_text(f"Cleaning\n\n- {sentence}\n").steps
    assert {name: state for step in steps for name, state in step.positions.items()} == positions


@pytest.mark.parametrize(
    ("said", "positions"),
    [
        ("Flush the port with the jaw open.", {"jaw": "open"}),
        ("Flush the port with jaw open and ratchet released.", {"jaw": "open", "ratchet": "released"}),
        ("Wipe the ratchet with the jaw closed.", {"jaw": "closed"}),
        ("Rinse with the jaw and the ratchet open.", {"jaw": "open", "ratchet": "released"}),
        ("Brush jaw, latch, ratchet and rod for 1 min.", {}),
        ("Check jaw, port, and cap through a lens.", {}),
        ("Rinse the port and cap for 1 min.", {}),
        ("Close the jaw and cap the port.", {"jaw": "closed", "port": "capped"}),
        ("Latch the ratchet.", {"ratchet": "engaged"}),
    ],
)
def test_a_state_is_of_what_with_leads_in(said: str, positions: dict[str, str]) -> None:
    """What stands in front of 'with' has another state or none; between commas a state is a thing."""
    assert positions_in(read_words(said)) == positions

"""To tell somebody, to count parts and to turn a part out are no other work (wordings from memory)."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.clauses import noun_action
from sinkside.draft.lexicon import read_words
from sinkside.instruction import Action

HEADINGS = {
    "en": ("Preparation", "Inspection", "Packaging"),
    "de": ("Vorbereitung", "Inspektion", "Verpackung"),
    "fr": ("Préparation", "Inspection", "Emballage"),
    "es": ("Preparación", "Inspección", "Embalaje"),
}


def _actions(heading: str, words: str, language: str) -> list[Action]:
    drafted = draft_text(f"{heading}\n\n1. {words}\n", language=language)
    return [step.action for step in drafted.steps]


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", "If one is missing, tell the operating theatre at once."),
        ("en", "If a part is missing, inform the surgeon."),
        ("en", "Report damage to the operating room."),
        ("en", "Call the operating theatre if a part is missing."),
        ("en", "Ask the theatre nurse."),
        ("en", "The ward must be told."),
        ("de", "Fehlt ein Teil, sofort den OP informieren."),
        ("de", "Melden Sie Schäden sofort dem Operationssaal."),
        ("de", "Fehlt ein Teil, rufen Sie den OP an."),
        ("fr", "S'il en manque une, prévenir le bloc opératoire."),
        ("fr", "Signalez la perte au bloc opératoire."),
        ("es", "Si falta una, avisar al quirófano."),
        ("es", "Notifique la pérdida al quirófano."),
    ],
)
def test_to_tell_somebody_is_no_work_on_the_device(language: str, words: str) -> None:
    """Whatever the stage, no word in it ('operating theatre') makes it an action that it is not."""
    for heading in HEADINGS[language]:
        assert _actions(heading, words, language) == [Action.other], heading


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", "Count the parts."),
        ("en", "Count the pieces against the list."),
        ("de", "Die Teile zählen."),
        ("de", "Zählen Sie die Teile."),
        ("fr", "Compter les pièces."),
        ("es", "Cuente las piezas."),
    ],
)
def test_to_count_parts_is_not_to_look_at_them(language: str, words: str) -> None:
    """No action of the vocabulary counts parts, whatever the stage."""
    for heading in HEADINGS[language]:
        assert _actions(heading, words, language) == [Action.other], heading


@pytest.mark.parametrize(
    ("language", "heading", "words"),
    [
        ("en", "Maintenance", "Count the cycles."),
        ("de", "Wartung", "Zyklen zählen."),
        ("fr", "Entretien", "Compter les cycles."),
        ("es", "Mantenimiento", "Contar los ciclos."),
    ],
)
def test_to_count_uses_keeps_its_own_action(language: str, heading: str, words: str) -> None:
    """Uses are counted by an action of the vocabulary; only what has none is another."""
    assert _actions(heading, words, language) == [Action.count_use]


def test_to_count_and_to_check_are_two_steps() -> None:
    """What is looked at beside the counting stays something to look at."""
    assert _actions("Inspection", "Count the parts and check them for cracks.", "en") == [
        Action.other,
        Action.inspect,
    ]


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", "Turn the locking screw LK to the left and take it out."),
        ("en", "Turn the collar anticlockwise and pull it off the tube."),
        ("en", "Turn the locking screw LK out."),
        ("en", "Unscrew the nut and take out the insert."),
        ("de", "Die Schraube LK nach links drehen und herausnehmen."),
        ("de", "Drehen Sie die Schraube nach links und nehmen Sie sie heraus."),
        ("de", "Die Schraube herausdrehen."),
        ("fr", "Tourner la vis LK vers la gauche et la retirer."),
        ("es", "Girar el tornillo LK hacia la izquierda y extraerlo."),
    ],
)
def test_to_turn_a_part_out_is_one_step_that_takes_apart(language: str, words: str) -> None:
    """The turning loosens; nothing is moved to and fro."""
    assert _actions(HEADINGS[language][0], words, language) == [Action.take_apart]


def test_what_is_turned_out_begins_a_step_of_its_own() -> None:
    """What came off before it is another step, and stays one."""
    words = "Pull out the rod, turn the ring to the left and take it off."
    assert _actions("Preparation", words, "en") == [Action.take_apart, Action.take_apart]


@pytest.mark.parametrize(
    ("words", "actions"),
    [
        ("Turn the wheel and look at the tip.", [Action.actuate, Action.inspect]),
        ("Turn the wheel three times and remove the brush.", [Action.actuate, Action.take_apart]),
        ("Turn the wheel to the left and look at the tip.", [Action.actuate, Action.inspect]),
        ("Turn the wheel three times so that water runs out.", [Action.actuate]),
    ],
)
def test_to_turn_a_part_that_stays_is_to_move_it(words: str, actions: list[Action]) -> None:
    """Only a turn that loosens what then comes off takes apart."""
    assert _actions("Inspection", words, "en") == actions


@pytest.mark.parametrize(
    ("words", "action"),
    [
        ("The operating theatre", None),
        ("Count: 8 clamps on the posts", Action.other),
        ("Count after the rinse; drying 5 min", Action.dry),
    ],
)
def test_what_is_only_named_is_other_work_last(words: str, action: Action | None) -> None:
    """A place where surgeons work is not operated, and a count gives way to work that is named beside it."""
    assert noun_action(read_words(words)) is action

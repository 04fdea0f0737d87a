"""Wordings of the trade in four languages, from memory: positions, figures, questions, faults."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.grammar import FigureGrammar
from sinkside.draft.lexicon import read_words
from sinkside.draft.positions import positions_in
from sinkside.draft.stages import stages_named
from sinkside.instruction import Action, Stage

POSITIONS = {
    "en": [
        ("Work the jaw 15 times and then leave it open.", {"jaw": "open"}),
        ("Pack it with the ratchet on the last tooth.", {"ratchet": "engaged"}),
        ("Set the pawl to FREE.", {"ratchet": "released"}),
        ("Put port B on a nozzle, jaw open.", {"port": "connected", "jaw": "open"}),
        ("In the disassembled state, sterilize it.", {"part": "apart"}),
    ],
    "de": [
        ("Die Sperre auf den ersten Zahn einrasten.", {"ratchet": "engaged"}),
        ("Im zerlegten Zustand sterilisieren.", {"part": "apart"}),
        ("G mit dem Spülanschluss auf die Spüldüse stecken.", {"port": "connected"}),
    ],
    "fr": [
        ("Crémaillère déverrouillée.", {"ratchet": "released"}),
        ("Stériliser démonté.", {"part": "apart"}),
    ],
    "es": [
        ("Con la cremallera suelta.", {"ratchet": "released"}),
        ("Coloque la pinza con la mordaza abierta.", {"jaw": "open"}),
    ],
}


@pytest.mark.parametrize("language", sorted(POSITIONS))
def test_positions_are_told_by_nouns_and_pronouns(language: str) -> None:
    """'On the last tooth', 'in the disassembled state', 'leave it open' say where a moving part stands."""
    said = [(words, positions_in(read_words(words, language)), told) for words, told in POSITIONS[language]]
    assert [one for one in said if one[1] != one[2]] == []


@pytest.mark.parametrize(
    "words",
    [
        "Join the hub of the cannula to the injector with the stopcock open.",
        "Connect the flush port to an irrigation adapter, valve open.",
    ],
)
def test_a_port_on_a_nozzle_is_connected_whatever_its_valve_is(words: str) -> None:
    """An open valve is how the water gets through, and does not undo the connection."""
    steps = draft_text(f"LARK cannula\n\nCLEANING\n\n1. {words}\n").steps
    assert [step.positions.get("port") for step in steps] == ["connected"]


@pytest.mark.parametrize(
    ("language", "words", "unit", "value"),
    [
        ("en", "five millilitres to the litre", "mL/L", 5.0),
        ("en", "5 mL in 500 mL of water", "mL/mL", 0.01),
        ("en", "blades opened and shut x 8, under water", "1", 8.0),
        ("de", "Die Hülse um 90 Grad nach links drehen.", "deg", 90.0),
        ("de", "Wasser von 45 Grad", "°C", 45.0),
        ("de", "fraktioniertes Vorvakuum, 3 Phasen", "1", 3.0),
        ("fr", "Fléchir la tige à 45 degrés de chaque côté", "deg", 45.0),
        ("fr", "soit 5 ml pour 100 ml", "mL/mL", 0.05),
    ],
)
def test_figures_are_read_in_further_wordings(language: str, words: str, unit: str, value: float) -> None:
    """A dose in words, a share of a volume, a count behind its sign, an angle in degrees without a sign."""
    found = [figure for one in FigureGrammar(read_words(words, language)).read() for figure in one.figures]
    assert [figure.unit for figure in found] == [unit]
    assert found[0].value == pytest.approx(value)


QUESTIONS = {
    "en": [("Can I use a washer-disinfector instead?", Stage.cleaning), ("Where is it kept?", Stage.storage)],
    "de": [("Wie lange bleibt es steril?", Stage.storage), ("Wie verpacke ich es?", Stage.packaging)],
    "fr": [("Combien de temps dure-t-il ?", Stage.maintenance), ("Comment emballer ?", Stage.packaging)],
    "es": [("¿Cómo se envasa?", Stage.packaging), ("¿Cómo se guarda?", Stage.storage)],
}


@pytest.mark.parametrize("language", sorted(QUESTIONS))
def test_questions_over_answers_name_their_stage(language: str) -> None:
    """Makers who answer questions ask them in the words of the work."""
    told = [(stages_named(words, language)[:1], (stage,)) for words, stage in QUESTIONS[language]]
    assert [one for one in told if one[0] != one[1]] == []


def test_a_fault_is_sorted_out_where_it_is_seen() -> None:
    """Under 'Inspection and maintenance' a cracked ring is replaced at the inspection, a life ends later."""
    work = "- Replace a cracked ring.\n- Replace the ring after 50 uses.\n"
    told = draft_text(f"LARK forceps\n\nINSPECTION AND MAINTENANCE\n\n{work}").steps
    assert [step.stage for step in told] == [Stage.inspection, Stage.maintenance]


def test_what_cools_behind_the_cycle_is_on_its_way_to_the_shelf() -> None:
    """Under a heading for several stages, cooling is storage as the words of the house have it."""
    work = "- Sterilize at 134 °C for 5 min.\n- Let it cool down.\n"
    last = draft_text(f"LARK forceps\n\nPACKING, STERILIZATION, STORAGE\n\n{work}").steps[-1]
    assert (last.action, last.stage) == (Action.cool, Stage.storage)

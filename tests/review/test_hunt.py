"""Faults that a hunt over planted texts found unheard: in four languages, each beside its right form.

The sentences are invented. That lumens are reached, parts are dry before they are joined, and that a text
tells its cycles, is asked by ISO 17664-1 (from memory); the pressure of saturated steam is that of
IAPWS-IF97.
"""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.review import review

TITLES = {
    "en": "LINNET SURGICAL LTD\nLARK take-apart forceps\n\n",
    "de": "TANNHOFER MEDIZINTECHNIK GMBH\nLERCHE zerlegbare Fasszange\nAufbereitungsanweisung\n\n",
    "fr": "ATELIERS DE BRESSONNE\nALOUETTE pince démontable\nNotice de traitement\n\n",
    "es": "TALLERES VALDORRO S.A.\nALONDRA pinza desmontable\nInstrucciones de procesamiento\n\n",
}
_WAYS = (
    "Description\nThe suction channel of the sheath is 3 mm wide. "
    "The jet line is a bore of 0.8 mm in the wand.\n\n"
)
_SOUND = "Limpieza\nColoque las piezas en el baño de ultrasonidos a 35 kHz durante 5 minutos."
_SOAK = "Cleaning\nSoak in 0.5 % cleaner for 10 minutes."
_BATH = "Disinfection\nLay it into a disinfectant of 2 % for 15 minutes."
_WORKS = "\n\nNotes\nThe ultrasonic bath works at 40 kHz."
_APART = (
    "Preparation\nUnscrew the handle and pull the shaft out.\n\nCleaning\nRinse all parts for 1 minute.\n"
)
_DRY = "\nDrying\nDry all parts with a cloth.\n"
_HEADS = "\n\nDrying\nDry it.\n\nPackaging\nWrap it twice.\n\nStorage\nStore it dry."
CASES = [
    (
        "lumen-told-not-reached",
        "en",
        f"{_WAYS}Cleaning\nFlush the suction channel with 50 mL of cleaner.",
        f"{_WAYS}Cleaning\nFlush the suction channel with 50 mL of cleaner. Flush the jet line with 5 mL.",
    ),
    (
        "together-before-dried",
        "en",
        f"{_APART}Assemble the handle and the shaft.\n{_DRY}",
        f"{_APART}{_DRY}\nInspection\nAssemble the handle and the shaft.",
    ),
    (
        "title-dangling",
        "en",
        f"Cleaning\nRinse it as told in the chapter on lapping.{_HEADS}",
        f"Cleaning\nRinse it as told in the chapter on storage.{_HEADS}",
    ),
    (
        "reference-dangling",
        "de",
        "1 Reinigung\nSiehe § 15.\n\n2 Trocknung\nAlle Teile trocknen.",
        "1 Reinigung\nSiehe § 2.\n\n2 Trocknung\nAlle Teile trocknen.",
    ),
    (
        "oiled-after-sterilization",
        "de",
        "Pflege\nNach der Sterilisation einen Tropfen Öl auf das Gelenk geben.",
        "Pflege\nVor dem Verpacken einen Tropfen Öl auf das Gelenk geben.",
    ),
    (
        "life-unlimited-and-limited",
        "fr",
        "Durée de vie\nÉliminer la pince après 50 cycles. Le nombre de cycles n'est pas limité.",
        "Durée de vie\nÉliminer la pince après 50 cycles. Compter chaque cycle.",
    ),
    (
        "steam-pressure-disagrees",
        "fr",
        "Stérilisation\nVapeur avec vide fractionné, 134 °C, 5 minutes, 2,1 bar (pression absolue).",
        "Stérilisation\nVapeur avec vide fractionné, 134 °C, 5 minutes, 3,04 bar (pression absolue).",
    ),
    (
        "prohibited-then-asked",
        "es",
        f"Advertencias\nLos ultrasonidos destruyen el aislamiento.\n\n{_SOUND}",
        f"Advertencias\nLos ultrasonidos no dañan el aislamiento.\n\n{_SOUND}",
    ),
    (
        "told-with-two-figures",
        "en",
        f"Cleaning\nSonicate the parts in the ultrasonic bath at 35 kHz.{_WORKS}",
        f"Cleaning\nSonicate the parts in the ultrasonic bath at 40 kHz.{_WORKS}",
    ),
    (
        "pieces-do-not-add-up",
        "en",
        "Packaging\nThe tray holds 14 pieces: 4 handles, 4 tubes and 5 inserts.",
        "Packaging\nThe tray holds 13 pieces: 4 handles, 4 tubes and 5 inserts.",
    ),
    (
        "battery-in-the-pack",
        "en",
        "Packaging\nLeave the battery in the handle and wrap it with the tray.",
        "Packaging\nTake out the battery and wrap the handle with the tray.",
    ),
    (
        "test-voltage-untold",
        "de",
        "Prüfung\nDie Isolierung des Rohrs mit geeigneter Spannung prüfen.",
        "Prüfung\nDie Isolierung des Rohrs mit 2,5 kV prüfen.",
    ),
    (
        "disinfected-in-cleaner",
        "en",
        f"{_SOAK}\n\n{_BATH}",
        f"{_SOAK} Rinse with water for 1 minute.\n\n{_BATH}",
    ),
]


def _rules(text: str, language: str) -> set[str]:
    text = f"{TITLES[language]}{text}\n"
    return {finding.rule for finding in review(draft_text(text, language=language))}


@pytest.mark.parametrize(("rule", "language", "faulty", "right"), CASES)
def test_a_hunted_fault_is_heard_and_its_right_form_is_not(
    rule: str, language: str, faulty: str, right: str
) -> None:
    """The rule speaks of the words with the fault and is silent on the same words put right."""
    assert rule in _rules(faulty, language)
    assert rule not in _rules(right, language)

"""One place of a text against another is heard, in four languages, and its right form is let be.

The sentences are invented. That an instruction states its issue, and what is done with packs and devices
that fail their check, is asked by ISO 17664-1 (from memory); the rest is a text against itself.
"""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.review import review
from sinkside.review.themes.revisions import backwards

_HEAD = "DOTTEREL SURGICAL LTD\nDOTTEREL ear forceps with handle, shaft and cap\n\n"
_ROWS = (
    "| No. | Work | How | Agent | Figures |\n|---|---|---|---|---|\n"
    "| 1 | Cleaning | soak | neutral cleaner | 10 min |\n"
    "| 2 | Cleaning | rinse | purified water | 1 min |\n"
    "| 3 | Disinfection | thermal disinfection | purified water | 90 °C, 5 min |\n"
    "| 4 | Drying | dry | hot air | 100 °C, 20 min |\n"
    "| 5 | Inspection | look with a magnifier | - | 6 x |\n"
    "| 6 | Packing | pouch | paper-film pouch | - |\n"
    "| 7 | Sterilizing | steam with vacuum | saturated steam | 134 °C, 5 min |\n"
    "| 8 | Sterilizing | vacuum drying | - | 20 min |\n\nNotes\n"
)
_DE = (
    "DOTTEREL MEDIZINTECHNIK GMBH\nAufbereitung der Ohrzange mit Griff und Schaft\n\nReinigung\n"
    "3.1 Alle Teile werden 10 Minuten in Reiniger eingelegt.\n3.2 Alle Teile werden mit Wasser gespült.\n"
    "\nTrocknung\n4.1 Die Teile werden mit einem Tuch getrocknet.\n"
    "\nVerpackung\n5.1 Der Sterilbeutel wird versiegelt.\n"
    "\nSterilisation\n6.1 Dampf, 134 °C, 5 Minuten.\n6.2 Trocknungszeit 20 Minuten.\n\nHinweise\n"
)
_FR = (
    "DOTTEREL CHIRURGIE SARL\nTraitement de la pince auriculaire avec poignée et tige\n\nNettoyage\n"
    "3.1 Immerger toutes les pièces 10 minutes dans le détergent.\n3.2 Rincer toutes les pièces à l'eau.\n"
    "\nSéchage\n4.1 Sécher les pièces avec un chiffon.\n\nConditionnement\n5.1 Sceller le sachet.\n"
    "\nStérilisation\n6.1 Vapeur, 134 °C, 5 minutes.\n6.2 Séchage 20 minutes.\n\nRemarques\n"
)
_ES = (
    "DOTTEREL CIRUGÍA SL\nProcesamiento de la pinza de oído con mango y eje\n\nLimpieza\n"
    "3.1 Sumergir todas las piezas 10 minutos en el detergente.\n3.2 Aclarar todas las piezas con agua.\n"
    "\nSecado\n4.1 Secar las piezas con un paño.\n\nEnvasado\n5.1 Sellar la bolsa.\n"
    "\nEsterilización\n6.1 Vapor, 134 °C, 5 minutos.\n6.2 Secado 20 minutos.\n\nNotas\n"
)

REFERENCES = [
    ("A torn pouch goes back to row 8.", "A torn pouch goes back to row 1."),
    ("Packs that are damp go back to row 7.", "Packs that are damp go back to row 6."),
    ("If soil remains, start again at row 4.", "If soil remains, start again at row 1."),
    ("Visible soil: repeat from row 6.", "Visible soil: repeat from row 1."),
    ("If moisture is found, go back to row 5.", "If moisture is found, go back to row 4."),
    ("Rinse again as in row 4.", "Rinse again as in row 2."),
    ("Brush the cap in cleaner of row 4.", "Brush the cap in cleaner of row 1."),
]


def _rules(text: str) -> set[str]:
    return {finding.rule for finding in review(draft_text(text))}


@pytest.mark.parametrize(("wrong", "right"), REFERENCES)
def test_a_reference_to_other_work_is_heard(wrong: str, right: str) -> None:
    """What is sent back to a row goes to work that puts it right."""
    assert "reference-to-other-work" in _rules(f"{_HEAD}{_ROWS}{wrong}\n")
    assert "reference-to-other-work" not in _rules(f"{_HEAD}{_ROWS}{right}\n")


@pytest.mark.parametrize(
    ("text", "wrong", "right"),
    [
        (
            _DE,
            "Nasse Verpackung: zurück zu Schritt 6.2.",
            "Nasse Verpackung: zurück zu Schritt 3.1.",
        ),
        (_DE, "Bei Restverschmutzung wieder ab Schritt 4.1.", "Bei Restverschmutzung wieder ab Schritt 3.1."),
        (_FR, "Un sachet déchiré retourne à l'étape 6.2.", "Un sachet déchiré retourne à l'étape 3.1."),
        (_ES, "Una bolsa rota vuelve al paso 6.2.", "Una bolsa rota vuelve al paso 3.1."),
    ],
)
def test_a_reference_to_other_work_is_heard_in_other_languages(text: str, wrong: str, right: str) -> None:
    """German, French and Spanish texts send back too."""
    assert "reference-to-other-work" in _rules(f"{text}{wrong}\n")
    assert "reference-to-other-work" not in _rules(f"{text}{right}\n")


def test_work_is_not_repeated_from_a_number_that_is_not_there() -> None:
    """A number alone is a reference where work is done again, and a figure elsewhere."""
    lost, known = "Bei Schmutz wird ab 3.7 wiederholt.", "Bei Schmutz wird ab 3.1 wiederholt."
    assert "reference-dangling" in _rules(f"{_DE}7.1 {lost}\n")
    assert "reference-dangling" not in _rules(f"{_DE}7.1 {known}\n")


@pytest.mark.parametrize(
    ("wrong", "right"),
    [
        (
            "If there is no time, 1 min is enough in row 3.",
            "With prions 20 min are asked for in row 3.",
        ),
        (
            "When the washer is wanted, 90 °C for 1 min suffices in row 3.",
            "In row 3 5 min is enough.",
        ),
        ("Clean instruments: 3 min will do in row 1.", "Row 3 takes 5 min."),
    ],
)
def test_a_remark_that_eases_a_row_is_heard(wrong: str, right: str) -> None:
    """A remark that asks for less than its row overrides it, on whatever condition."""
    assert "note-overrides-step" in _rules(f"{_HEAD}{_ROWS}{wrong}\n")
    assert "note-overrides-step" not in _rules(f"{_HEAD}{_ROWS}{right}\n")


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Leaflet, issue 3 (issue 6 is out of date)", ("3", "6")),
        ("Issue 6 is withdrawn; this is issue 3.", ("3", "6")),
        ("Second edition, replaces the fourth edition", ("Second", "fourth")),
        ("March 2023, takes the place of the sheet of June 2024", ("March 2023", "June 2024")),
        ("This edition 4 is superseded by edition 3.", ("3", "4")),
        ("OP-7-C supersedes OP-7-D", ("OP-7-C", "OP-7-D")),
        ("Issue 6 (issue 3 is out of date)", None),
        ("Issue 3 of May 2024, replaces issue 2 of June 2023", None),
        ("Edition 3 is superseded by edition 4.", None),
        ("Revision C is valid; revision B is void", None),
        ("Version 5 is valid until 2027", None),
    ],
)
def test_revisions_are_told_in_any_words(text: str, found: tuple[str, str] | None) -> None:
    """Numbers, letters, ordinals and days are compared, whichever stands in front."""
    assert backwards(text) == found


@pytest.mark.parametrize(
    ("head", "later"),
    [
        ("Aufbereitung Ohrzange\nAusgabe 3 (Ausgabe {} ist ungültig)\n", ("6", "2")),
        ("Aufbereitung Ohrzange\nFassung 5, ersetzt Fassung {}\n", ("7", "4")),
        ("Traitement de la pince\nVersion 5, remplace la version {}\n", ("7", "4")),
        ("Traitement de la pince\nÉdition 3 (l'édition {} est périmée)\n", ("6", "2")),
        ("Procesamiento de la pinza\nVersión 5, sustituye a la versión {}\n", ("7", "4")),
        ("Procesamiento de la pinza\nEdición 3 (la edición {} queda anulada)\n", ("6", "2")),
    ],
)
def test_revisions_run_backwards_in_other_languages(head: str, later: tuple[str, str]) -> None:
    """Heads of German, French and Spanish texts name two issues too."""
    body = {"A": _DE, "T": _FR, "P": _ES}[head[0]].partition("\n\n")[2]
    wrong, right = (f"DOTTEREL\n{head.format(number)}\n{body}" for number in later)
    assert "revision-runs-backwards" in _rules(wrong)
    assert "revision-runs-backwards" not in _rules(right)


_SINK = "\nCleaning\n1. Soak in neutral cleaner for 10 minutes.\n2. Rinse in purified water for 1 minute.\n"
AGAINST = [
    (
        "not-validated-and-asked",
        "Ultrasound has never been tried.\n" + _SINK + "3. Five minutes in the ultrasonic bath follow.\n",
        "Ultrasound has been tried.\n" + _SINK + "3. Five minutes in the ultrasonic bath follow.\n",
    ),
    (
        "ruled-out-and-let-in",
        "Gravity cycles do not reach the shaft.\n\nStorage\n1. If need be a gravity cycle can be used.\n",
        "Gravity cycles do not reach the shaft.\n\nStorage\n1. A gravity sterilizer is not used for it.\n",
    ),
    (
        "ruled-out-and-let-in",
        "Ethylene oxide is not allowed.\n\nStorage\n1. In an emergency ethylene oxide takes its place.\n",
        "Ethylene oxide is not allowed.\n\nStorage\n1. In an emergency another set takes its place.\n",
    ),
    (
        "row-forbids-its-own",
        _ROWS.replace("| paper-film pouch | - |", "| film pouch with label | no label on this pouch |"),
        _ROWS.replace("| paper-film pouch | - |", "| film pouch | no label on this pouch |"),
    ),
    (
        "brushed-where-no-brush-fits",
        "The side ports take no brush.\n" + _SINK + "3. Brush the inside of the side ports for 1 minute.\n",
        "The side ports take no brush.\n" + _SINK + "3. Brush the inside of the main bore for 1 minute.\n",
    ),
    (
        "sets-kept-and-mixed",
        "Handle and shaft are matched to each other.\n\nPackaging\n1. Any handle fits; they may be mixed.\n",
        "Handle and shaft are matched to each other.\n\nPackaging\n1. Lay both into one tray.\n",
    ),
    (
        "machine-ends-in-tap-water",
        _SINK
        + "\nWasher\n1. Wash: 55 °C, 10 minutes.\n2. Thermal disinfection: tap water, 90 °C, 5 minutes.\n"
        "\nNotes\nThe final rinse is in demineralised water.\n",
        _SINK + "\nWasher\n1. Wash: 55 °C, 10 minutes.\n2. Disinfection: purified water, 90 °C, 5 minutes.\n"
        "\nNotes\nThe final rinse is in demineralised water.\n",
    ),
    (
        "count-begins-anew",
        "\nLife\nThe forceps serve 300 cycles. At 300 set the counter to zero and go on.\n",
        "\nLife\nThe forceps serve 300 cycles. After an overhaul it is set to zero and starts again.\n",
    ),
    (
        "life-hangs-on-another",
        (
            "\nLife\nThe cap lasts as long as the shaft. The cap is replaced after 20 cycles.\n"
            "The shaft is scrapped after 300 cycles.\n"
        ),
        (
            "\nLife\nThe cap closes the shaft. The cap is replaced after 20 cycles.\n"
            "The shaft is scrapped after 300 cycles.\n"
        ),
    ),
    (
        "prohibited-then-asked",
        "C never goes into steam.\n\n" + _ROWS.replace("| steam with", "| all | steam with"),
        "C never goes into steam.\nH and S must be open.\n\n" + _ROWS.replace("| steam", "| H, S | steam"),
    ),
    (
        "prohibited-then-asked",
        "The shaft, 2 mm wide: it cannot be brushed.\n" + _SINK + "3. Brush the shaft for 1 minute.\n",
        "The shaft, 2 mm wide: it cannot be brushed.\n" + _SINK + "3. Brush the handle for 1 minute.\n",
    ),
]


@pytest.mark.parametrize(("rule", "wrong", "right"), AGAINST, ids=[case[0] for case in AGAINST])
def test_one_place_against_another_is_heard(rule: str, wrong: str, right: str) -> None:
    """The rule speaks of the words that contradict, and is silent where they do not."""
    assert rule in _rules(f"{_HEAD}{wrong}")
    assert rule not in _rules(f"{_HEAD}{right}")


@pytest.mark.parametrize(
    ("text", "rule", "wrong"),
    [
        (
            _FR,
            "prohibited-then-asked",
            "L'ultrason n'a pas été validé.\nCinq minutes dans le bain à ultrasons.",
        ),
        (_DE, "sets-kept-and-mixed", "Griff und Schaft bleiben zusammen.\nBeim Packen nach Art sortieren."),
        (
            _FR,
            "sets-kept-and-mixed",
            "Poignée et tige restent ensemble.\nAu conditionnement, trier par type.",
        ),
        (_ES, "sets-kept-and-mixed", "El mango y el eje van juntos.\nAl envasar, clasificar por tipo."),
    ],
)
def test_one_place_against_another_is_heard_in_other_languages(text: str, rule: str, wrong: str) -> None:
    """German, French and Spanish texts contradict themselves too."""
    first, _, second = wrong.partition("\n")
    assert rule in _rules(f"{text}{wrong}\n")
    assert rule not in _rules(f"{text}{first}\n")
    assert rule not in _rules(f"{text}{second}\n")


@pytest.mark.parametrize(
    "text",
    ["0.0008 % of cleaner is withdrawn", "1.5/0025 is superseded", "see 12.0000", "of 0007, Jan 0012"],
)
def test_what_is_no_year_is_no_day_of_a_revision(text: str) -> None:
    """Figures with four digits behind a point are doses, and none of them breaks the reading."""
    assert backwards(text) is None

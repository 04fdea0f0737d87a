"""What any maker may write, met for the first time: words of headings, cards, fragments, bans that turn.

The sentences and headings are invented. Where each thing belongs follows the chapters of ISO 17664-1 (from
memory); that water of 80 °C and more disinfects is the A0 of ISO 15883-1 (from memory). The rest is common
practice, no source.
"""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.stages import stages_named
from sinkside.instruction import Action, Instruction, Stage

TITLE = "LINNET SURGICAL LTD\nLARK grasping forceps, 5 mm\n\n"

HEADINGS: dict[str, dict[Stage, tuple[str, ...]]] = {
    "en": {
        Stage.point_of_use: ("Post-operative care", "Where it was used", "Scrub table", "When surgery ends"),
        Stage.transport: ("From theatre to CSSD", "Delay before cleaning", "The way to the sink", "Transit"),
        Stage.preparation: (
            "Stripping down",
            "Before you clean",
            "Making up the bath",
            "Pre-cleaning preparation",
        ),
        Stage.cleaning: ("Sonic bath", "Enzyme soak", "Getting it clean", "Instrument washer"),
        Stage.disinfection: ("Chemical soak", "HLD", "Germ reduction", "Hot-water rinse"),
        Stage.drying: ("Removing water", "Draining", "Getting it dry", "Air gun"),
        Stage.inspection: ("Look closely", "Pass or fail", "Sharpness test", "Operation check"),
        Stage.maintenance: ("Use count", "Regrinding", "Spare parts", "Withdrawal from use"),
        Stage.packaging: ("Bagging", "Kit assembly", "Peel pouch", "Sterilization packaging"),
        Stage.sterilization: (
            "Hydrogen peroxide plasma",
            "After the cycle",
            "Parametric release",
            "Cooling off",
        ),
        Stage.storage: ("Use-by", "Before it is used again", "Back in theatre", "Preparation for next use"),
    },
    "de": {
        Stage.point_of_use: ("Noch im OP", "Am Instrumententisch"),
        Stage.transport: ("Weg in die AEMP", "Zeit bis zur Reinigung"),
        Stage.preparation: ("Vor der manuellen Reinigung", "Teile trennen"),
        Stage.cleaning: ("Am Spülbecken", "RDG-Programm"),
        Stage.disinfection: ("Tauchdesinfektion", "Heißspülung"),
        Stage.drying: ("Restwasser entfernen", "Lufttrocknung"),
        Stage.inspection: ("Begutachtung", "Schnittprobe"),
        Stage.maintenance: ("Verschleißteile", "Ausmusterung"),
        Stage.packaging: ("Einschweißen", "Sieb packen"),
        Stage.sterilization: ("Vakuumverfahren", "Auskühlen"),
        Stage.storage: ("Im Regal", "Vor der nächsten Anwendung"),
    },
    "fr": {
        Stage.point_of_use: ("Au bloc", "Gestes au bloc"),
        Stage.transport: ("Délai avant nettoyage", "Départ du bloc"),
        Stage.preparation: ("Avant lavage", "Séparation des pièces"),
        Stage.cleaning: ("À l'évier", "Écouvillonnage"),
        Stage.disinfection: ("Bain désinfectant", "Thermodésinfection"),
        Stage.drying: ("Égouttage", "Élimination de l'eau"),
        Stage.inspection: ("Bon fonctionnement", "Sous la loupe"),
        Stage.maintenance: ("Pièces d'usure", "Réforme"),
        Stage.packaging: ("Ensachage", "Recomposition du plateau"),
        Stage.sterilization: ("Sortie d'autoclave", "Paramètres du cycle"),
        Stage.storage: ("Péremption", "Avant réutilisation"),
    },
    "es": {
        Stage.point_of_use: ("Nada más terminar", "Mesa de instrumental"),
        Stage.transport: ("Camino a la central", "Tiempo hasta la limpieza"),
        Stage.preparation: ("Despiece", "Antes de lavar"),
        Stage.cleaning: ("En el fregadero", "Zona sucia"),
        Stage.disinfection: ("Fase térmica", "Baño desinfectante"),
        Stage.drying: ("Escurrido", "Eliminación del agua"),
        Stage.inspection: ("Con lupa", "Prueba de corte"),
        Stage.maintenance: ("Recambios", "Retirada del servicio"),
        Stage.packaging: ("Embolsado", "Preparación del set"),
        Stage.sterilization: ("Tras el ciclo", "Liberación de la carga"),
        Stage.storage: ("Vencimiento", "Antes del próximo uso"),
    },
}
NAMED = [
    (language, stage, heading)
    for language, stages in HEADINGS.items()
    for stage, headings in stages.items()
    for heading in headings
]


def drafted(text: str) -> Instruction:
    return draft_text(f"{TITLE}{text}\n")


def told(text: str) -> list[tuple[Stage | None, Action]]:
    return [(step.stage, step.action) for step in drafted(text).steps]


@pytest.mark.parametrize(("language", "stage", "heading"), NAMED)
def test_headings_name_their_stage_in_many_words(language: str, stage: Stage, heading: str) -> None:
    """The first stage that a heading names is its own, though other words stand in it too."""
    assert stages_named(heading, language)[:1] == (stage,)


@pytest.mark.parametrize(
    ("line", "action"),
    [
        ("Never scrape at char: soak the tips in 3 % hydrogen peroxide.", Action.soak),
        ("Do not use steel wool, but brush it with nylon.", Action.brush),
    ],
)
def test_behind_a_ban_something_else_may_be_asked(line: str, action: Action) -> None:
    """What stands behind colon, semicolon or 'but' is a step, and the ban stays with it as a caution."""
    step = drafted(f"Cleaning\n\n1. {line}").steps[0]
    assert (step.stage, step.action) == (Stage.cleaning, action)
    assert step.cautions


def test_a_list_of_banned_work_asks_for_none_of_it() -> None:
    """'Do not soak, rinse or wipe it' forbids all three: a comma turns nothing."""
    assert told("Cleaning\n\n1. Do not soak, rinse or wipe the plug.") == []


@pytest.mark.parametrize("line", ["The hose must not leak.", "A 2 mm wire may not slip when C is locked."])
def test_what_must_not_happen_is_looked_for_under_inspection(line: str) -> None:
    """Under inspection it is a criterion, and no ban."""
    assert told(f"Inspection\n\n{line}") == [(Stage.inspection, Action.inspect)]


def test_what_must_not_be_done_stays_forbidden_under_inspection() -> None:
    """A ban on doing something is no criterion of the device."""
    assert told("Inspection\n\nThe hose must not be oiled.") == []


def test_a_heading_in_capitals_needs_no_gap_on_a_card() -> None:
    """Among the short lines of a card, capitals that name a stage end the item before them."""
    card = "THEATRE\n[ ] tips wiped, at once\nSOILED SIDE\n[ ] bath 5 min\nDRYING\n[ ] air 20 s"
    assert [stage for stage, _ in told(card)] == [Stage.point_of_use, Stage.cleaning, Stage.drying]


@pytest.mark.parametrize(
    ("line", "stage"),
    [
        ("90 °C, 5 min", Stage.disinfection),
        ("194 °F, 5 min", Stage.disinfection),
        ("55 °C, 10 min", Stage.cleaning),
    ],
)
def test_water_so_hot_disinfects(line: str, stage: Stage) -> None:
    """In a washer the temperature tells which phase a line without a verb is."""
    assert told(f"Washer\n\n- {line}")[-1][0] is stage


@pytest.mark.parametrize("line", ["on its rack, lid on, to CSSD in 60 min", "wet cloth in box"])
def test_fragments_send_it_on_its_way(line: str) -> None:
    """Where it was used, a box and the department mean transport without a verb."""
    assert told(f"After use\n\n- {line}") == [(Stage.transport, Action.transport)]


def test_an_unknown_verb_leads_to_the_known_one_behind_it() -> None:
    """Of 'Spool the cable and rinse it' the second half is understood, whoever knows the first."""
    assert (Stage.cleaning, Action.rinse) in told("Cleaning\n\n1. Spool the cable on its reel and rinse it.")


def test_minutes_of_something_are_that_work() -> None:
    """'Ten minutes of vacuum drying' names the drying itself."""
    steps = drafted("Sterilization\n\nThirty minutes of vacuum drying follow.").steps
    assert [figure.as_written for step in steps for figure in step.figures] == ["Thirty minutes"]


def test_an_item_whose_mark_hangs_in_a_row_is_read_sentence_by_sentence() -> None:
    """'A-1. | Oil it, then …': each thing to do gets its own stage, as in running text."""
    text = (
        "G.  CHECK AND OIL\n"
        "  G-1.  Look at the tip under a lens.\n"
        "  G-2.  Take the cap off and put 2 drops of white oil on the joint.\n"
        "  G-3.  Close the jaws on paper and look again."
    )
    assert (Stage.maintenance, Action.lubricate) in told(text)


def test_to_look_for_soil_is_inspection_wherever_it_stands() -> None:
    """Cleaning often ends with a look: that is inspection already."""
    steps = told("Cleaning\n\n1. Rinse it.\n2. Check the joint for residues with a lens.")
    assert steps[-1] == (Stage.inspection, Action.inspect)


@pytest.mark.parametrize(
    ("sentence", "action"),
    [
        ("The slide must run along its rail without catching.", Action.inspect),
        ("The tank works at 45 kHz for five minutes and must not become warmer than 45 °C.", Action.sonicate),
        ("The rack then travels to the department in a lidded box.", Action.transport),
    ],
)
def test_prose_without_headings_tells_work_by_what_happens(sentence: str, action: Action) -> None:
    """A criterion, a frequency with a time and a journey are read without an order."""
    assert action in [step.action for step in drafted(sentence).steps]


def test_a_frequency_that_is_only_forbidden_is_no_bath() -> None:
    """Without a time a frequency is a limit."""
    assert told("The frequency must never be below 35 kHz.") == []

"""Pages set by white space alone, in invented texts of our own: key words, columns, tables without strokes.

Common practice of setting leaflets, no source; the words are none of any maker's.
"""

from __future__ import annotations

import textwrap

import pytest

from sinkside.draft import draft_text
from sinkside.draft.stages import is_describing, stages_named
from sinkside.instruction import Action, Instruction, Stage

TITLE = "LINNET SURGICAL LTD\nLARK grasping forceps\n\n"


def _beside(left: str, right: str, *, width: int = 60) -> str:
    """Two texts as columns of one page."""
    pairs = zip(
        textwrap.dedent(left).strip().split("\n"), textwrap.dedent(right).strip().split("\n"), strict=True
    )
    return "\n".join(f"{one:<{width}}{other}".rstrip() for one, other in pairs)


def _stages(drafted: Instruction) -> list[tuple[Action, Stage]]:
    return [(step.action, step.stage) for step in drafted.steps]


def test_key_words_in_the_margin_head_what_stands_beside_them() -> None:
    """A maker's own word among them, as 'Hinges', makes no table of all the others."""
    entries = {
        "Theatre": "Wipe the forceps with a moist cloth within 20 minutes. Send it in a closed box.",
        "Soak": "Lay it into the cleaner for at least 10 minutes. Cover all of it.",
        "Hinges": "Work every hinge 8 times under the surface. Then turn it over.",
        "Machine": "Wash it for 10 minutes at 60 °C. Dry it for 15 minutes at 90 °C.",
        "Looking": "Look at the tips with a lens. Begin again if soil is left.",
        "Packing": "Pack it in a pouch. Seal the pouch.",
    }
    rows = [f"{label:<16}{text}" for label, text in entries.items()]
    stages = _stages(draft_text(TITLE + "\n\n".join(rows)))
    expected = [
        (Action.wipe, Stage.point_of_use),
        (Action.soak, Stage.cleaning),
        (Action.actuate, Stage.cleaning),
        (Action.wash, Stage.cleaning),
        (Action.dry, Stage.drying),
        (Action.inspect, Stage.inspection),
        (Action.pack, Stage.packaging),
    ]
    assert [one for one in expected if one not in stages] == []


UPPER = _beside(
    """
    1 CLEANING
    1.1 Rinse the forceps under cold tap water and take care
        that the jaw is open while the water is running.
    1.2 Brush the jaw and the hinge with a soft brush.
    """,
    """
    2 INSPECTION
    2.1 Look at the jaw and the hinge with a lens that makes
        them at least four times as large.
    2.2 Steam: 134 °C, 4 minutes exposure, 3 pulses and 20
    """,
)
LOWER = _beside(
    """
        minutes of drying in the chamber of the sterilizer.
    2.3 Let the pack cool before anybody touches the tray.
    2.4 Count the use of the forceps on the card of the set.
    """,
    """
    3 STORAGE
    3.1 Keep the pack dry and dark and away from all heat.
    3.2 Store it for no longer than 6 months in a cupboard.
    """,
)


def test_columns_of_two_pages_are_read_page_by_page() -> None:
    """Where the numbers of the items fall otherwise, the lower pair of columns is another page."""
    numbers = [step.number for step in draft_text(f"{TITLE}{UPPER}\n\n{LOWER}\n").steps]
    assert numbers == sorted(numbers, key=str)
    assert {"1.2", "2.1", "2.3", "3.2"} <= set(numbers)


def test_a_step_goes_on_at_the_head_of_the_next_column() -> None:
    """'3 pulses and 20' at the foot of one column and 'minutes of drying' at the head of the next are one."""
    steam = next(x for x in draft_text(f"{TITLE}{UPPER}\n\n{LOWER}\n").steps if x.action is Action.sterilize)
    assert [(figure.as_written, figure.unit) for figure in steam.figures][-1] == ("20 minutes", "min")


def test_a_title_with_a_wide_gap_makes_no_table_of_the_columns_below() -> None:
    """The first lines of both columns stand close under 'Leaflet … edition', and are read so."""
    title = f"{'Leaflet 4 of the maker':<48}edition 2\n"
    drafted = draft_text(f"LINNET SURGICAL LTD\n{title}\n{UPPER}\n{LOWER}\n")
    assert [step.number for step in drafted.steps][:1] == ["1.1"]


TABLE = """
Nr  Stufe         Teil   Tätigkeit                          Mittel                 Zeit   Temp.
                                                                                   min    °C
-----------------------------------------------------------------------------------------------
1   Einsatzort    A B    abwischen                          feuchtes Tuch          -      -
2   Reinigen      A B    einlegen                           Reiniger, neutral      10     35
3   Reinigen      A      Gelenk bürsten                     weiche Bürste          2      -
4   Maschine      A B    Reinigen                           alkalischer Reiniger h 8      55
5   Trocknen      A B    Heißluft                           Luft, gefiltert        15     95
"""


def test_the_heads_of_a_table_are_known_by_the_rule_below_them() -> None:
    """In two lines and in German, they tell what the columns hold; the letters of parts are no language."""
    drafted = draft_text(f"{TITLE}Aufbereitung der Zange mit Griff und Maul nach jeder Anwendung\n{TABLE}")
    by_number = {step.number: step for step in drafted.steps}
    figures = [(figure.value, figure.unit) for figure in by_number["2"].figures]
    assert figures == [(10.0, "min"), (35.0, "°C")]
    assert by_number["1"].stage is Stage.point_of_use
    assert by_number["5"].stage is Stage.drying


def test_a_long_cell_is_cut_where_the_next_column_begins() -> None:
    """With one space between, the figure of the next column is still its own."""
    drafted = draft_text(f"{TITLE}Aufbereitung der Zange mit Griff und Maul nach jeder Anwendung\n{TABLE}")
    row = next(step for step in drafted.steps if step.number == "4")
    assert [(figure.value, figure.unit) for figure in row.figures] == [(8.0, "min"), (55.0, "°C")]


def test_the_column_of_work_is_no_stage_beside_a_column_for_that() -> None:
    """Under 'What', 'wipe, then flush the port' is what is done at the stage that stands before it."""
    rows = "| 1 | Use | A | wipe, then flush the port | water |\n| 2 | Apart | A | pull B off A | - |"
    drafted = draft_text(f"{TITLE}| Row | Stage | Part | What | With |\n|---|---|---|---|---|\n{rows}\n")
    told = [(step.number, step.stage) for step in drafted.steps]
    assert ("1", Stage.point_of_use) in told
    assert ("2", Stage.preparation) in told


@pytest.mark.parametrize(
    "text", ["Handle: 400 cycles; tube: 150 cycles.", "Tube, three pulses: 134 °C, 4 min; dry 9 min."]
)
def test_a_label_is_not_lost_with_what_it_says(text: str) -> None:
    """Where each item has its own label, or the label holds a figure, it stays with its item."""
    drafted = draft_text(f"{TITLE}STERILIZATION\n\n{text}\n")
    first = text.split(";", 1)[0]
    said = [*(x.origin.text for x in drafted.steps), *(x.origin.text for x in drafted.statements)]
    assert any(one.startswith(first) for one in said)


HEADINGS = {
    "en": {
        Stage.point_of_use: "At the operating table|Chairside|Right after the case|In theatre",
        Stage.preparation: "Getting it apart|Before first use|Unpack|Prior to cleaning",
        Stage.cleaning: "At the sink|After-rinse|Sonic cleaner|In the washer",
        Stage.inspection: "Is it clean?|Is it working?|Look and test",
        Stage.storage: "Handing out|On the shelf|Before the next surgery",
    },
    "de": {
        Stage.point_of_use: "Im Saal|Nach dem Eingriff|Am OP-Tisch",
        Stage.transport: "Nasstransport|Weg zur Aufbereitung|Entsorgung",
        Stage.cleaning: "Maschine|Am Becken|Zwischenspülen",
        Stage.packaging: "Siebzusammenstellung|Sterilbarriere|Verpacken",
    },
    "fr": {
        Stage.point_of_use: "Premier traitement|Au bloc|Dès la fin de l'acte",
        Stage.transport: "Du bloc à la stérilisation|Acheminement",
        Stage.packaging: "Mise en conteneur|Conditionnement",
    },
    "es": {
        Stage.point_of_use: "En la mesa|Al acabar la intervención|En quirófano",
        Stage.cleaning: "Termodesinfectora|En la máquina|Remojo",
        Stage.storage: "Antes del siguiente uso|Depósito|Caducidad",
    },
}
#: Over what describes.
DESCRIBING = {
    "en": "Beware|Supplied|Asking|Read this first|Heat limit",
    "de": "Regeln|Lieferung|Bestandteile|Rückfragen",
    "fr": "Règles|Livraison|À savoir|Interdits",
    "es": "Reglas|Suministro|Consultas|Prohibiciones",
}


@pytest.mark.parametrize("language", sorted(HEADINGS))
def test_headings_of_the_trade_name_their_stage(language: str) -> None:
    """Words that departments use over their work (from memory), in the four languages that are read."""
    asked = [(stage, words) for stage, said in HEADINGS[language].items() for words in said.split("|")]
    missed = [words for stage, words in asked if stage not in stages_named(words, language)]
    missed += [words for words in DESCRIBING[language].split("|") if not is_describing(words, language)]
    assert missed == []

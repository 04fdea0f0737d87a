"""Steps, positions, rules and alternatives, in texts of our own."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.lexicon import read_words
from sinkside.draft.positions import positions_in
from sinkside.instruction import Action, AirRemoval, Instruction, Stage, StatementKind


def steps_of(heading: str, *lines: str) -> Instruction:
    return draft_text("\n\n".join([heading, *lines]))


@pytest.mark.parametrize(
    ("heading", "line", "stage", "action"),
    [
        ("Point of use", "Wipe the shaft with a damp cloth.", Stage.point_of_use, Action.wipe),
        ("Point of use", "Remove coarse soil at once.", Stage.point_of_use, Action.wipe),
        ("Point of use", "Keep all parts moist.", Stage.point_of_use, Action.keep_moist),
        ("Point of use", "Begin cleaning within 3 h.", Stage.transport, Action.start_cleaning),
        ("Preparation", "Unscrew the shaft from the handle.", Stage.preparation, Action.take_apart),
        ("Manual cleaning", "The parts must be soaked for 9 min.", Stage.cleaning, Action.soak),
        ("Manual cleaning", "Place the clamp in the detergent for 9 min.", Stage.cleaning, Action.soak),
        ("Manual cleaning", "After the soak brush the joint.", Stage.cleaning, Action.brush),
        ("Manual cleaning", "Then carefully flush the port.", Stage.cleaning, Action.flush),
        ("Manual cleaning", "Move the joint 5 times.", Stage.cleaning, Action.actuate),
        ("Ultrasonic cleaning", "Treat for 5 min at 40 kHz.", Stage.cleaning, Action.sonicate),
        ("Washer", "Thermal disinfection: 90 °C, 5 min", Stage.disinfection, Action.disinfect),
        ("Washer", "Drying: 100 °C, 12 min", Stage.drying, Action.dry),
        ("Care", "Put one drop of white oil on the joint.", Stage.maintenance, Action.lubricate),
        ("Inspection", "The blades have to close fully.", Stage.inspection, Action.inspect),
        ("Packaging", "Wrap it in two layers.", Stage.packaging, Action.pack),
        ("Sterilization", "Gravity: 121 °C, 30 min, dry 45 min", Stage.sterilization, Action.sterilize),
        ("Storage", "Dry and dust-free, six months.", Stage.storage, Action.store),
    ],
)
def test_a_line_is_the_step_that_it_means(heading: str, line: str, stage: Stage, action: Action) -> None:
    """Imperatives, obligations and verbless lines, each at the stage where it belongs."""
    steps = steps_of(heading, f"- {line}").steps
    assert (stage, action) in [(step.stage, step.action) for step in steps]


def test_two_verbs_are_two_steps_with_their_own_figures() -> None:
    """A sentence that asks for two things makes two steps; both keep the whole sentence."""
    first, second = steps_of("Cleaning", "1. Rinse the clamp for 2 min and flush the port with 30 mL.").steps
    assert [figure.value for figure in first.figures] == [2]
    assert [figure.value for figure in second.figures] == [30]
    assert first.origin == second.origin
    assert (first.number, second.number) == ("1", "1")


@pytest.mark.parametrize(
    ("words", "positions"),
    [
        ("With the jaw open, flush it.", {"jaw": "open"}),
        ("Jaws open, ratchet released.", {"jaw": "open", "ratchet": "released"}),
        ("The ratchet must be fully engaged.", {"ratchet": "engaged"}),
        ("Lock the ratchet in the released position.", {"ratchet": "released"}),
        ("Keep the sliding sleeve pulled back.", {"sleeve": "back"}),
        ("Connect the flush port to the pump.", {"port": "connected"}),
        ("Load it with the lumen on a nozzle.", {"port": "connected"}),
        ("The cap is put on the flush port.", {"port": "capped"}),
        ("The port must stay uncapped.", {"port": "open"}),
        ("Straighten the knob.", {"knob": "straight"}),
        ("Put it in the tray in the disassembled state.", {"part": "apart"}),
        ("Rinse with the jaws half open.", {"jaw": "open"}),
        ("Keep the scissors open in the bath.", {"jaw": "open"}),
        ("Blades apart, ratchet off.", {"jaw": "open", "ratchet": "released"}),
        ("Lay the forceps in the tray in the open position.", {"jaw": "open"}),
        ("Close the ratchet to the first notch.", {"ratchet": "engaged"}),
        ("Ratchet: first click", {"ratchet": "engaged"}),
        ("Take the cap off the luer port.", {"port": "open"}),
        ("Replace the cap on the luer.", {"port": "capped"}),
        ("Leave the stopcock open.", {"port": "open"}),
        ("Push the hub onto the rinsing nozzle.", {"port": "connected"}),
        ("Slide the outer sheath forwards.", {"sleeve": "forward"}),
        ("Turn the knob to zero.", {"knob": "straight"}),
        ("With the stylet removed, flush it.", {"part": "apart"}),
        ("Open and close the jaw ten times.", {}),
        ("Open and close the scissors ten times.", {}),
        ("Do not close the jaw.", {}),
        ("Do not pack it with the ratchet locked.", {}),
        ("Do not fit the cap.", {}),
        ("Bring the scissors in a closed box.", {}),
        ("Move it until the jaw is fully open.", {}),
        ("Check that the jaws close evenly.", {}),
        ("Spray the channel with the nozzle.", {}),
    ],
)
def test_positions_are_read(words: str, positions: dict[str, str]) -> None:
    """Verbs, adjectives and states behind and before the feature; movements are no positions."""
    assert positions_in(read_words(words)) == positions


def test_a_state_holds_for_its_whole_item() -> None:
    """'Jaw open' beside a step holds for the step; 'open the jaw' holds for what follows."""
    flush, _ = steps_of("Cleaning", "1. Flush the port with 20 mL. Jaw open.").steps
    assert flush.positions["jaw"] == "open"
    _, wiped = steps_of("Cleaning", "1. Open the jaw. Wipe the shaft.").steps
    assert wiped.positions == {"jaw": "open"}


def test_a_rule_at_the_top_governs_the_steps_below() -> None:
    """A rule for every step reaches the steps that touch the part it speaks of, unless they say otherwise."""
    text = """Parts: A = handle with ratchet;  B = insert with jaw.

General rules
 R1  Ratchet of A released for every step.

| No. | Stage     | Part | Action         | Value | Remark          |
|-----|-----------|------|----------------|-------|-----------------|
| 1   | Cleaning  | A, B | soak           | 5 min |                 |
| 2   | Cleaning  | B    | flush          | 20 mL |                 |
| 3   | Transport | A    | put in the box |       | ratchet engaged |
"""
    soak, flush, box = draft_text(text).steps
    assert soak.positions == {"ratchet": "released"}
    assert soak.on == ("A", "B")
    assert flush.positions == {}
    assert box.positions == {"ratchet": "engaged"}


def test_cycles_side_by_side_are_alternatives() -> None:
    """Two sterilization cycles share a letter, and each keeps its way of air removal, exposure and drying."""
    text = "- Pre-vacuum: 132 °C, 4 min, 30 minutes dry time, 4 pulses"
    first, second = steps_of("Sterilization", text, "- Gravity: 121 °C, 30 min, drying 45 min").steps
    assert first.alternative == second.alternative == "a"
    assert (first.air_removal, second.air_removal) == (AirRemoval.prevacuum, AirRemoval.gravity)
    assert [first.figures_of("time", role)[0].value for role in ("exposure", "drying")] == [4, 30]
    assert first.figures_of("count", "pulses")[0].value == 4


def test_repeats_refer_to_numbers() -> None:
    """A repeat names the steps that it repeats, ranges written out; without a name it is the step before."""
    items = ("1. Rinse the clamp.", "2. Brush the joint.", "3. Repeat steps 1 and 2 twice.")
    assert steps_of("Cleaning", *items).steps[-1].repeats == ("1", "2")
    assert steps_of("Cleaning", "4. Repeat steps 1 to 3.").steps[-1].repeats == ("1", "2", "3")
    assert steps_of("Cleaning", "5. Rinse it for 1 min. Repeat 3 times.").steps[-1].repeats == ("5",)


def test_the_sides_of_a_step() -> None:
    """Substance, tools, until, condition and cautions are kept in the maker's words."""
    (step,) = steps_of(
        "Cleaning",
        "1. If necessary, flush the lumen with cold sterile water using a syringe until it runs clear. "
        "Do not use saline.",
    ).steps
    assert step.with_ == "cold sterile water"
    assert step.tools == ("syringe",)
    assert step.until == "until it runs clear"
    assert step.condition == "If necessary"
    assert step.cautions == ("Do not use saline.",)


@pytest.mark.parametrize(
    ("sentence", "kind"),
    [
        ("WARNING: The tips are sharp.", StatementKind.warning),
        ("Never soak it in saline.", StatementKind.prohibition),
        ("Do not exceed 138 °C.", StatementKind.limit),
        ("CAUTION: Use only cleaners of pH 6 to 9.", StatementKind.limit),
        ("It is validated for 80 cycles.", StatementKind.life),
        ("The forceps can be reprocessed up to 90 times.", StatementKind.life),
        ("For questions call the service.", StatementKind.contact),
        ("The maker is in a small town.", StatementKind.note),
    ],
)
def test_sentences_that_ask_for_nothing(sentence: str, kind: StatementKind) -> None:
    """Prohibitions, limits, warnings, lives, contacts and notes."""
    assert [one.kind for one in steps_of("General information", sentence).statements] == [kind]


def test_limits_of_the_device() -> None:
    """Limiting figures stand under the device, each with what it limits and where it was read."""
    limits = steps_of(
        "General information",
        "The maximum temperature is 137 °C.",
        "Use only agents with a pH between 6 and 10.",
        "Chloride content of the rinse: max. 90 mg/L.",
        "It is validated for 80 cycles.",
    ).device.limits
    assert [limit.limits for limit in limits] == ["temperature", "ph", "chloride", "cycles"]
    assert [limit.max for limit in limits] == [137, 10, 90, None]
    assert limits[3].value == 80
    assert all(limit.origin.line > 1 for limit in limits)


def test_brush_figures_play_their_parts() -> None:
    """Diameter, length and strokes of a brush are told apart."""
    (step,) = steps_of("Cleaning", "1. Brush the lumen 8 times with a 3 mm x 400 mm brush.").steps
    roles = {figure.role: figure.value for figure in step.figures}
    assert roles == {"strokes": 8, "brush-diameter": 3, "brush-length": 400}


def test_a_table_on_its_side_is_read_by_columns() -> None:
    """Where cycles name the columns, each column is a step, and row labels bind its figures."""
    text = """Sterilization

|                      | Gravity (wrapped) | Pre-vacuum (wrapped) |
|----------------------|-------------------|----------------------|
| Exposure temperature | 121 °C (250 °F)   | 132 °C (270 °F)      |
| Exposure time        | 30 min            | 4 min                |
| Minimum dry time     | 45 min            | 30 min               |
"""
    gravity, prevacuum = draft_text(text).steps
    assert (gravity.air_removal, prevacuum.air_removal) == (AirRemoval.gravity, AirRemoval.prevacuum)
    assert [figure.role for figure in prevacuum.figures_of("time")] == ["exposure", "drying"]
    assert [(f.value, f.min) for f in prevacuum.figures_of("time")] == [(4, None), (None, 30)]
    assert prevacuum.figures[2].as_written == "30 min"


def test_a_run_in_list_of_phases_is_a_step_each() -> None:
    """Phases of a machine cycle in one sentence are items of a list, each with its own words."""
    steps = steps_of(
        "Machine cleaning",
        "The program has a 3-minute pre-rinse, a 9-minute wash at 60 °C, a 2-minute rinse "
        "and a thermal disinfection with an A0 of at least 600.",
    ).steps
    assert [step.action for step in steps] == [Action.pre_rinse, Action.wash, Action.rinse, Action.disinfect]
    assert [[figure.number() for figure in step.figures] for step in steps] == [[3], [9, 60], [2], [600]]
    assert steps[1].origin.text == "a 9-minute wash at 60 °C"


def test_columns_set_by_white_space_and_lettered_sections() -> None:
    """Columns that only white space parts are a table; 'B. Sterilization' opens a section."""
    text = """A. Automated cleaning
   1) Load it with the jaws open.

   Phase     Time (min)   Temperature   Detergent
   Wash      5:00         66 °C         Neutral
   Rinse     1:00         40 °C         N/A
   Dry       7:00         115 °C        N/A

B. Sterilization
   Prevacuum steam   132 °C (270 °F)   4 minutes    Dry 20 minutes
   Prevacuum steam   135 °C (275 °F)   3 minutes    Dry 16 minutes
   Gravity steam     121 °C (250 °F)   30 minutes   Dry 30 minutes
"""
    load, wash, rinse, dry, *cycles = draft_text(text).steps
    assert (load.action, load.stage) == (Action.load, Stage.cleaning)
    assert [step.figures_of("time")[0].number("min") for step in (wash, rinse, dry)] == [5, 1, 7]
    assert dry.stage is Stage.drying
    assert [[figure.role for figure in cycle.figures_of("time")] for cycle in cycles] == [
        ["exposure", "drying"]
    ] * 3
    assert {cycle.alternative for cycle in cycles} == {"a"}


def test_columns_with_units_in_their_heads() -> None:
    """A bare number takes the unit of its column; an empty stage cell means the stage above."""
    text = """Washer program

| Stage    | Action     | Temperature (°C) | Time (min) |
|----------|------------|------------------|------------|
| Cleaning | pre-rinse  | max. 30          | 2          |
|          | wash       | 60               | 8          |
| Drying   | hot air    | 110              | 20         |
"""
    first, second, third = draft_text(text).steps
    assert [(f.max or f.value, f.unit) for f in first.figures] == [(30, "°C"), (2, "min")]
    assert (second.stage, second.action) == (Stage.cleaning, Action.wash)
    assert [(f.value, f.unit) for f in third.figures] == [(110, "°C"), (20, "min")]


def test_degrees_are_never_a_part() -> None:
    """Beside part C stands '40 °C' or '134 C': only a letter of its own names the part."""
    text = "Parts: A = handle;  B = shaft;  C = cap.\n\nCleaning\n\n- Soak {} for 9 min.\n"
    (warm,) = draft_text(text.format("B in water of 40 °C or 40 C")).steps
    assert warm.on == ("B",)
    (capped,) = draft_text(text.format("C in water of 40 °C")).steps
    assert capped.on == ("C",)


def test_a_second_row_of_heads_belongs_to_the_first() -> None:
    """Merged cells in the head leave two rows of heads; the units in the second hold for the cells below."""
    table = """Cleaning

| Stage    | Action | Values |     |
|----------|--------|--------|-----|
| Stage    | Action | Temp. °C | Time min |
| Cleaning | soak   | 30-40  | 10  |
"""
    (soak,) = draft_text(table).steps
    assert [(figure.min or figure.value, figure.unit) for figure in soak.figures] == [(30, "°C"), (10, "min")]


@pytest.mark.parametrize(
    ("heading", "action"), [("Point of use", Action.transport), ("Packaging", Action.load)]
)
def test_into_a_closed_box_where_it_was_used_is_on_its_way(heading: str, action: Action) -> None:
    """The same words under another heading only load the box."""
    (step,) = steps_of(heading, "- Lay the clamp in a closed container.").steps
    assert step.action is action


def test_names_of_things_ask_for_nothing() -> None:
    """'Wrapped trays' asks for no wrapping, 'dry heat' for no drying; the verb beside them still asks."""
    (step,) = steps_of("Storage", "- Keep wrapped trays on a shelf for 6 months.").steps
    assert (step.stage, step.action) == (Stage.storage, Action.store)
    assert steps_of("Sterilization", "- Dry heat and plasma must not be used.").steps == ()


def test_a_phase_with_its_lethality_ends_where_drying_begins() -> None:
    """One sentence about a machine: until its A0 it disinfects, with hot air it dries."""
    words = (
        "- It ends with water at 90 °C, 5 min, so that an A0 of 3000 is reached, and with hot air, 20 min."
    )
    hot, dry = steps_of("Cleaning by machine", words).steps
    assert (hot.stage, dry.stage) == (Stage.disinfection, Stage.drying)
    assert [figure.value for figure in dry.figures] == [20]


def test_what_stays_out_of_an_until_is_no_step() -> None:
    """'Before blood can dry' is a time, not a step."""
    (step,) = steps_of("Point of use", "- Rinse the tip before blood can dry.").steps
    assert step.action is Action.rinse


def test_two_words_before_a_semicolon_stay_with_their_sentence() -> None:
    """'Let cool; …' is one sentence with a caution; three words and more are an item of their own."""
    (cooled,) = steps_of("Sterilization", "- Let cool; do not touch while warm.").steps
    assert cooled.cautions == ("do not touch while warm.",)
    assert len(steps_of("Cleaning", "- Rinse the tip; brush the tip.").steps) == 2

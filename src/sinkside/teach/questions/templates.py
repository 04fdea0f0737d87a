"""The templates that questions are asked with, in English; no template carries a figure of a device."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sinkside.instruction import FigureRole
from sinkside.quantities import FigureQuantity

#: Which step is asked about.
AT: Final = "{stage}: “{step}”."
AT_AFTER: Final = "{stage}: “{step}”, straight after “{before}”."

#: What is asked of a figure, by its role where that tells more than the quantity.
BY_ROLE: Final[Mapping[str, str]] = {
    FigureRole.total: "How much in all?",
    FigureRole.exposure: "How long is the exposure?",
    FigureRole.drying: "How long is the drying?",
    FigureRole.pulses: "How many pulses?",
    FigureRole.dose: "In what dose?",
    FigureRole.repeats: "How many times?",
    FigureRole.strokes: "How many strokes?",
    FigureRole.actuations: "How often to and fro?",
    FigureRole.drops: "How many drops?",
    FigureRole.magnification: "How strong must the lens be?",
    FigureRole.brush_diameter: "How wide across is the brush?",
    FigureRole.brush_length: "How long is the brush?",
    FigureRole.time_since_use: "How long after use?",
    FigureRole.set_mass: "What may the whole set weigh?",
    FigureRole.life: "How often may it be used?",
}
BY_QUANTITY: Final[Mapping[FigureQuantity, str]] = {
    FigureQuantity.temperature: "At what temperature?",
    FigureQuantity.time: "How long?",
    FigureQuantity.pressure: "At what pressure?",
    FigureQuantity.volume: "How much?",
    FigureQuantity.concentration: "In what dose?",
    FigureQuantity.percent: "In what dose?",
    FigureQuantity.ratio: "In what dose?",
    FigureQuantity.ph: "At what pH?",
    FigureQuantity.frequency: "At what frequency?",
    FigureQuantity.mass: "What may it weigh?",
    FigureQuantity.voltage: "At what voltage?",
    FigureQuantity.counted: "How many times?",
    FigureQuantity.lethality: "How large must A0 or F0 be?",
    FigureQuantity.length: "What length?",
}

FIRST: Final = "Which of these comes first?"
LAST: Final = "Which of these comes last?"
NEXT: Final = "What comes straight after it?"

READY: Final = "Which of these is ready for the sterilizer?"
AS_NEEDED: Final = "Which of these shows it as this step needs it?"
READY_WORDS: Final = "How must it be for the sterilizer?"
AS_NEEDED_WORDS: Final = "How must it be for this step?"

LISTED: Final = "On the bench lie: {parts}."
MISSING: Final = "Which part is missing?"

TRAY: Final = "This tray is packed with: {parts}."
TRAY_FAULT: Final = "What is wrong in it?"
ON_ANOTHER: Final = "One piece lies on another: {parts}"
AT_THE_WALL: Final = "A piece touches the wall: {part}"
NOT_THERE: Final = "A piece is not there: {part}"
NOTHING_WRONG: Final = "Nothing is wrong"

PLOT: Final = "This record was drawn for teaching; the text asks for {figures}."
PLOT_FAULT: Final = "What does the record show?"
RECORD_MEETS: Final = "Nothing that is missing"
EXPOSURE_SHORT: Final = "The exposure is too short"
TOO_COLD: Final = "The exposure is too cold"
NO_DRYING: Final = "There is no drying"
RECORD: Final = "Record of a steam cycle"
PLOT_TOLD: Final = (
    "Hottest: {hottest}. Between the dashed lines for {held}. After that below {vacuum} for {dried}."
)

IF_SO: Final = "The text says what to do in this case: {condition}."
WHAT_THEN: Final = "What is to be done?"
NEVER: Final = "Which of these must never be done?"
UNTIL_WHAT: Final = "How can it be seen that it is done?"
CARE: Final = "What must be minded here?"
WHY: Final = "Why?"

#: What stands beside an answer afterwards.
SAYS: Final = "The text: “{said}”"
OTHER_STEP: Final = "That belongs to “{step}”."
TURNED: Final = "The number is right, but the bound is turned round."
OTHER_UNIT: Final = "The number is right, but the unit is another."
OTHER_NUMBER: Final = "The text has another number."
BEFORE_IT: Final = "That comes before it."
LATER: Final = "That comes later."
NOT_SO: Final = "That is not so here."
ASKED_FOR: Final = "The text asks for this."

#: Every template there is; a catalogue has them all.
ALL: Final = (
    *(AT, AT_AFTER, *BY_ROLE.values(), *BY_QUANTITY.values(), FIRST, LAST, NEXT),
    *(READY, AS_NEEDED, READY_WORDS, AS_NEEDED_WORDS, LISTED, MISSING),
    *(TRAY, TRAY_FAULT, ON_ANOTHER, AT_THE_WALL, NOT_THERE, NOTHING_WRONG),
    *(PLOT, PLOT_FAULT, RECORD_MEETS, EXPOSURE_SHORT, TOO_COLD, NO_DRYING, RECORD, PLOT_TOLD),
    *(IF_SO, WHAT_THEN, NEVER, UNTIL_WHAT, CARE, WHY),
    *(SAYS, OTHER_STEP, TURNED, OTHER_UNIT, OTHER_NUMBER, BEFORE_IT, LATER, NOT_SO, ASKED_FOR),
)

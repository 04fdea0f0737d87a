"""How figures are worded: one test for each habit, in sentences of our own.

Expected readings follow the published wording habits of processing instructions as the contract of the
document format states them (common practice, no source).
"""

from __future__ import annotations

from typing import Any

import pytest

from sinkside.draft.bounding import with_distant_bounds
from sinkside.draft.grammar import FigureGrammar
from sinkside.draft.lexicon import read_words
from sinkside.quantities import Figure


def figures(sentence: str, lead: str = "") -> list[Figure]:
    reading = read_words(sentence)
    found = with_distant_bounds(FigureGrammar(reading).read(), reading, lead, "en")
    return [figure for one in found for figure in one.figures]


def short(figure: Figure) -> dict[str, Any]:
    return {
        key: value
        for key, value in figure.model_dump(mode="json", exclude_none=True).items()
        if key in {"value", "min", "max", "unit", "strict"}
    }


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("Soak for at least 7 minutes.", {"min": 7, "unit": "min"}),
        ("Soak for not less than 7 min.", {"min": 7, "unit": "min"}),
        ("Soak for a minimum of 7 min.", {"min": 7, "unit": "min"}),
        ("Soak for 7 min or longer.", {"min": 7, "unit": "min"}),
        ("Use 15 mL, min.", {"min": 15, "unit": "mL"}),
        ("Minimum exposure time: 7 min", {"min": 7, "unit": "min"}),
        ("Keep it at ≥ 65 °C.", {"min": 65, "unit": "°C"}),
        ("Heat it to no more than 40 °C.", {"max": 40, "unit": "°C"}),
        ("Heat it to max. 40 °C.", {"max": 40, "unit": "°C"}),
        ("Heat it to 40 °C or less.", {"max": 40, "unit": "°C"}),
        ("Begin within 2 h.", {"max": 2, "unit": "h"}),
        ("Begin within an hour.", {"max": 1, "unit": "h"}),
        ("The weight must not exceed 9 kg.", {"max": 9, "unit": "kg"}),
        ("Rinse with water below 30 °C.", {"max": 30, "unit": "°C", "strict": True}),
        ("Rinse with water above 30 °C.", {"min": 30, "unit": "°C", "strict": True}),
        ("Do not soak for more than 20 min.", {"max": 20, "unit": "min"}),
        ("Do not use water (> 45 °C).", {"max": 45, "unit": "°C"}),
        ("Look through a 7-fold lens or stronger.", {"min": 7, "unit": "1"}),
        ("Use a magnification of at least 7.", {"min": 7, "unit": "1"}),
        ("Look through a lens (at least fourfold).", {"min": 4, "unit": "1"}),
        ("Keep it warm, not to exceed 35 °C.", {"max": 35, "unit": "°C"}),
        ("Load no heavier than 9 kg.", {"max": 9, "unit": "kg"}),
        ("Start 3 h after use at the latest.", {"max": 3, "unit": "h"}),
        ("Not before 20 min.", {"min": 20, "unit": "min"}),
        ("Max. time until start of cleaning: 3 h", {"max": 3, "unit": "h"}),
        ("A time of 6 hours must not be exceeded.", {"max": 6, "unit": "h"}),
        ("Soak for 7 min upwards.", {"min": 7, "unit": "min"}),
        ("Soak for at least (7) minutes.", {"min": 7, "unit": "min"}),
        ("Discard a seal that is longer in use than 40 cycles.", {"max": 40, "unit": "1"}),
        ("A pack older than 20 days must be processed again.", {"max": 20, "unit": "d"}),
        ("Rinse for no less than a minute.", {"min": 1, "unit": "min"}),
        ("Brush it, three passes at the minimum.", {"min": 3, "unit": "1"}),
        ("Rinse with water (38 °C max.) for it.", {"max": 38, "unit": "°C"}),
        ("Keep at +15 °C to +25 °C.", {"min": 15, "max": 25, "unit": "°C"}),
        ("Disinfect until ≥ 600 A0.", {"min": 600, "unit": "s"}),
    ],
)
def test_bounds_are_read_as_worded(words: str, expected: dict[str, Any]) -> None:
    """Bounds before and behind the number, strict or not, and turned round by a prohibition."""
    (figure,) = figures(words)
    assert short(figure) == expected


@pytest.mark.parametrize(
    ("words", "low", "high", "unit"),
    [
        ("at 20 - 35 °C", 20, 35, "°C"),
        ("at 20–35 °C", 20, 35, "°C"),
        ("from 20 °C to 35 °C", 20, 35, "°C"),
        ("between 20 and 35 °C", 20, 35, "°C"),
        ("35 to 45 kHz", 35, 45, "kHz"),
        ("with 0,5 - 1 % cleaner", 0.5, 1, "%"),
        ("with a pH between 6 and 11", 6, 11, "pH"),
        ("pH 6.5-8.5", 6.5, 8.5, "pH"),
        ("pH neutral (6.5 to 8.5)", 6.5, 8.5, "pH"),
        ("between 30° and 40 °C", 30, 40, "°C"),
    ],
)
def test_ranges_have_two_ends(words: str, low: float, high: float, unit: str) -> None:
    """A range is one figure with both ends."""
    (figure,) = figures(words)
    assert (figure.min, figure.max, figure.unit) == (low, high, unit)


@pytest.mark.parametrize(
    ("words", "value", "unit", "other"),
    [
        ("at 140 °F (60 °C)", 140, "°F", 60),
        ("at 140 °F/60 °C", 140, "°F", 60),
        ("at 3 bar (43.5 psi)", 3, "bar", 43.5),
    ],
)
def test_one_value_in_two_units_is_one_figure(words: str, value: float, unit: str, other: float) -> None:
    """The first is the figure, the other stands under `also`."""
    (figure,) = figures(words)
    assert (figure.value, figure.unit, figure.also[0].value) == (value, unit, other)


def test_a_range_in_two_units_is_one_figure() -> None:
    """Both ways of setting it: each end with its other unit, or the whole range in brackets."""
    (each,) = figures("27 °C (80 °F) to 44 °C (111 °F)")
    (whole,) = figures("27 to 44 °C (80 and 111 °F)")
    for figure in (each, whole):
        assert (figure.min, figure.max, figure.unit) == (27, 44, "°C")
        assert (figure.also[0].min, figure.also[0].max) == (80, 111)


def test_percent_and_dose_stay_two_figures() -> None:
    """Percent and millilitres per litre are different quantities: a slip between them must stay visible."""
    assert [figure.unit for figure in figures("cleaner 1 % (100 mL/L)")] == ["%", "mL/L"]


@pytest.mark.parametrize(
    ("words", "low", "high"),
    [
        ("134 °C, 0/+3", 0, 3),
        ("134 °C (tolerance 0/+3 K)", 0, 3),
        ("134 °C (+3 °C)", 0, 3),
        ("134 °C -1/+4 K", -1, 4),
        ("134 °C ± 2 K", -2, 2),
        ("134 °C +/- 2", -2, 2),
        ("134 ± 2 °C", -2, 2),
    ],
)
def test_tolerances_are_temperature_differences(words: str, low: float, high: float) -> None:
    """The value stands, and its tolerance is a difference in kelvin."""
    value, tolerance = figures(words)
    assert (value.value, value.unit) == (134, "°C")
    assert (tolerance.min, tolerance.max, tolerance.unit) == (low, high, "K")


def test_a_product_is_count_volume_and_total() -> None:
    """In n x v = total each number is a figure, as written even when the sum is wrong."""
    count, each, total = figures("Flush 4 x 25 mL = 90 mL.")
    assert (count.value, count.unit, count.role) == (4, "1", "repeats")
    assert (each.value, each.unit) == (25, "mL")
    assert (total.value, total.role) == (90, "total")


def test_two_lengths_are_the_sides_of_a_brush() -> None:
    """A brush of diameter by length is two lengths, no count."""
    assert [(x.value, x.unit) for x in figures("a 4 mm x 350 mm brush")] == [(4, "mm"), (350, "mm")]
    assert [(x.value, x.unit) for x in figures("a brush 4 x 350 mm")] == [(4, "mm"), (350, "mm")]


@pytest.mark.parametrize(
    ("words", "value", "unit"),
    [
        ("four hours", 4, "h"),
        ("four (4) hours", 4, "h"),
        ("1 part of cleaner to 200 parts of water", 0.005, "ratio"),
        ("half an hour", 0.5, "h"),
        ("1/2 hour", 0.5, "h"),
        ("1 h 30 min", 90, "min"),
        ("0:45 h", 45, "min"),
        ("1'30\"", 90, "s"),
        ("six months", 6, "month"),
        ("1,500 cycles", 1500, "1"),
        ("0,5 %", 0.5, "%"),
        ("5 mL per litre", 5, "mL/L"),
        ("5 mL of cleaner per litre of water", 5, "mL/L"),
        ("5 mL of cleaner to one mL of water", 5, "mL/mL"),
        ("diluted 1:200", 0.005, "ratio"),
        ("pH 12", 12, "pH"),
        ("A0 of 3000", 3000, "s"),
        ("360 degrees", 360, "deg"),
        ("2.5 kV", 2.5, "kV"),
        ("3 times", 3, "1"),
        ("twice", 2, "1"),
        ("6-fold magnification", 6, "1"),
        ("4X lens", 4, "1"),
        ("10 x", 10, "1"),
        ("2 drops", 2, "1"),
        ("4 preconditioning pulses", 4, "1"),
        ("in. 5.1 in. (130 mm)", 130, "mm"),
        ("600 (A0)", 600, "s"),
        ("1 min 30.", 90, "s"),
        ("a one-minute rinse", 1, "min"),
        ("two and a half minutes", 2.5, "min"),
        ("26 weeks", 26, "week"),
        ("every 25 treatments, or sooner", 25, "1"),
        ("tested over 150 cycles", 150, "1"),
    ],
)
def test_values_in_their_many_spellings(words: str, value: float, unit: str) -> None:
    """Number words, fractions, clocks, decimal commas, thousands, doses, ratios and counts."""
    (figure,) = figures(words)
    assert (figure.value, figure.unit) == (value, unit)


def test_pressure_says_against_what() -> None:
    """Absolute or gauge if the text says it, else unsaid."""
    said = [figure.reference for figure in figures("3 bar absolute, then 1.2 bar gauge, then 2 bar")]
    assert said == ["absolute", "gauge", "unsaid"]


@pytest.mark.parametrize(
    "words",
    [
        "Repeat steps 5 to 7 and see section 9.2.",
        "According to EN ISO 15883-1:2014 and ISO 17664-1.",
        "Document QX-77, Rev. 3, issue 2, version 1.4, March 2024, 2024-03.",
        "Catalogue number AB-3401 on page 4, figure 12.",
        "Row 12-17 may be left out; the parts lie with 3 parts separate.",
        "It is held with one thumb by a single person.",
        "Flush port 1, then port 2; both hold CaCO3 and H2O2.",
    ],
)
def test_numbers_that_are_no_figures(words: str) -> None:
    """Steps, references, standards, dates, catalogue numbers and counted things are no figures."""
    found = FigureGrammar(read_words(words)).read()
    assert not any(one.figures or one.unread for one in found)


def test_distant_bounds_reach_their_figures() -> None:
    """'Whichever is longer' and 'minimum cycle:' bind figures that they do not touch."""
    (more,) = figures("Flush with 80 mL or until it runs clear, whichever is more.")
    assert more.min == 80
    time, temperature = figures("wash 5 min at 60 °C", lead="Minimum cycle:")
    assert (time.min, temperature.value) == (5, 60)


@pytest.mark.parametrize(
    "words", ["Use 10 ppm of it.", "Mix 2 oz per gallon.", "Pull with 4 N.", "Set it to 42."]
)
def test_what_no_figure_can_carry_is_kept(words: str) -> None:
    """Units outside the format and bare numbers are kept for a human, not dropped and not converted."""
    assert any(one.unread for one in FigureGrammar(read_words(words)).read())


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("Soak for a quarter of an hour.", {"value": 0.25, "unit": "h"}),
        ("Soak for one and a half hours.", {"value": 1.5, "unit": "h"}),
        ("Soak for 1 1/2 hours.", {"value": 1.5, "unit": "h"}),
        ("Soak for an hour and a half.", {"value": 1.5, "unit": "h"}),
        ("Soak for a minute.", {"value": 1, "unit": "min"}),
        ("Soak for thirty-five seconds.", {"value": 35, "unit": "s"}),
        ("A brush of two hundred and fifty millimetres.", {"value": 250, "unit": "mm"}),
        ("Soak for 4 (four) minutes.", {"value": 4, "unit": "min"}),
        ("Move it a dozen times.", {"value": 12, "unit": "1"}),
        ("Put a drop of oil on it.", {"value": 1, "unit": "1"}),
        ("Soak for 1h20.", {"value": 80, "unit": "min"}),
        ("Exposure time (min): 7", {"value": 7, "unit": "min"}),
        ("Temperature in °C: 130", {"value": 130, "unit": "°C"}),
        ("Use 5 to 9 mL.", {"min": 5, "max": 9, "unit": "mL"}),
        ("Use 5 … 9 mL.", {"min": 5, "max": 9, "unit": "mL"}),
        ("Use 5...9 mL.", {"min": 5, "max": 9, "unit": "mL"}),
        ("A cleaner of pH 5 … 9.", {"min": 5, "max": 9, "unit": "pH"}),
        ("A cleaner of pH 9.5 in use.", {"value": 9.5, "unit": "pH"}),
        ("An F0 of 14 min.", {"value": 14, "unit": "min"}),
    ],
)
def test_numbers_are_read_in_words_fractions_and_heads(words: str, expected: dict[str, Any]) -> None:
    """Quarters and halves, dozens, words beside digits, three dots, and a unit before its number."""
    (figure,) = figures(words)
    assert short(figure) == expected


@pytest.mark.parametrize(
    "words", ["Wait a minute.", "Use it 30 times a minute."[13:], "Reference in card 3."]
)
def test_articles_and_references_are_no_figures(words: str) -> None:
    """An article is one only where a time lasts, and a number behind 'card' names the card."""
    assert figures(words) == []


def test_two_numbers_in_one_unit_are_two_figures() -> None:
    """'3 or 4 minutes' leaves a choice and makes no range."""
    assert [figure.value for figure in figures("Soak for 3 or 4 minutes.")] == [3, 4]
    assert [figure.value for figure in figures("A bore of 2.5 / 3.0 mm.")] == [2.5, 3.0]


def test_a_dose_said_twice_is_one_figure_if_it_agrees() -> None:
    """0.5 % and 5 mL/L are the same; 0.5 % and 50 mL/L are not, and stay two for the review to see."""
    (same,) = figures("Prepare it at 0.5 % (5 mL/L).")
    assert [(other.value, other.unit) for other in same.also] == [(5, "mL/L")]
    assert [figure.unit for figure in figures("Prepare it at 0.5 % (50 mL/L).")] == ["%", "mL/L"]
    assert [figure.unit for figure in figures("Prepare it 1:200 (5 mL/L).")] == ["ratio"]


def test_several_other_units_in_one_bracket_are_one_figure() -> None:
    """'2 bar (29 psi, 200 kPa)' is one pressure said three times."""
    (pressure,) = figures("Blow with 2 bar (29 psi, 200 kPa).")
    assert [other.unit for other in pressure.also] == ["psi", "kPa"]


def test_a_life_is_counted_on_in_the_same_sentence() -> None:
    """'150 cycles and a head through 60': the second number counts cycles too; without the first it waits."""
    assert [figure.value for figure in figures("It was tested through 150 cycles, the tip through 60.")] == [
        150,
        60,
    ]
    assert figures("The tip was tested through 60.") == []


def test_the_count_may_stand_behind_the_measure() -> None:
    """'60 mL x 3' is three times 60 mL; 'x 3 mm' behind a length is a size."""
    assert [(figure.value, figure.role) for figure in figures("Flush it with 60 mL x 3.")] == [
        (60, None),
        (3, "repeats"),
    ]
    assert [figure.unit for figure in figures("A brush of 2 mm x 3 mm.")] == ["mm", "mm"]


def test_only_few_things_are_counted() -> None:
    """'3 screws' says nothing about processing; a number that is too large for that is kept for a human."""
    patterns = [one.pattern for one in FigureGrammar(read_words("Loosen 3 screws of 250 screws.")).read()]
    assert patterns == ["things", "bare number"]


def test_what_bounds_in_parentheses_does_not_bind_the_next_figure() -> None:
    """'(38 °C max.) for 1 min' is at most 38 °C, and one minute."""
    heat, time = figures("Brush it under water (38 °C max.) for 1 min.")
    assert (heat.max, time.value) == (38, 1)


def test_a_tolerance_may_be_worded_as_a_range() -> None:
    """'0 to +3 K' is a tolerance, '3 to 5 min' behind a temperature a time."""
    heat, tolerance, time = figures("134 °C, tolerance 0 to +3 K, for 3 to 5 min")
    assert (heat.value, tolerance.min, tolerance.max, tolerance.unit) == (134, 0, 3, "K")
    assert (time.min, time.max) == (3, 5)


def test_what_only_compares_is_no_count() -> None:
    """'Twice as long' and 'a second sheath' count nothing; two sizes in one unit are two figures."""
    assert figures("The tube needs twice as long.") == []
    assert figures("It is not used for a second sheath.") == []
    assert [one.value for one in figures("screws of 1.5 and 2.0 mm")] == [1.5, 2.0]

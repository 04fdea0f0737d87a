"""Figures in words: number, unit and bound as each language and each department writes them."""

from __future__ import annotations

import pytest

from sinkside.instruction import Device, Instruction, Step
from sinkside.plain import Habits, PlainFigure, Units, Voice, plain_figures, plain_steps
from sinkside.quantities import Figure, Quantity
from sinkside.quantities.figure import FigureValue
from sinkside.route import ChosenFigure

NB = "\u00a0"


def shown(figure: Figure, language: str = "en", **units: str) -> PlainFigure:
    habits = Habits(language=language, units=Units.model_validate(units))
    return plain_figures([ChosenFigure(required=figure)], Voice(habits))[0]


@pytest.mark.parametrize(
    ("language", "text"),
    [
        ("en", "at least 2,500.5 mL"),
        ("de", "mindestens 2.500,5 mL"),
        ("fr", "au moins 2\u202f500,5 mL"),
        ("es", "al menos 2.500,5 mL"),
        ("pl", "co najmniej 2\u00a0500,5 mL"),
        ("vi", "ít nhất 2.500,5 mL"),
        ("zh", "至少 2,500.5 mL"),
    ],
)
def test_numbers_follow_the_language(language: str, text: str) -> None:
    """Decimal sign and grouping are CLDR's; the unit's symbol is the SI's in every Latin script."""
    assert (
        shown(Figure(quantity="volume", min=2500.5, unit="mL"), language).text.replace(f"{NB}mL", " mL")
        == text
    )


@pytest.mark.parametrize(
    ("number", "polish"),
    [
        (1, "1 pociągnięcie"),
        (2, "2 pociągnięcia"),
        (4, "4 pociągnięcia"),
        (5, "5 pociągnięć"),
        (12, "12 pociągnięć"),
        (21, "21 pociągnięć"),
        (22, "22 pociągnięcia"),
        (112, "112 pociągnięć"),
    ],
)
def test_polish_plurals(number: float, polish: str) -> None:
    """One; 2-4, 22 few; the teens, 21, 112 many: CLDR's plural rules for 'pl' (chart, from memory)."""
    strokes = Figure(quantity="count", value=number, unit="1", role="strokes")
    assert shown(strokes, "pl").text.replace(NB, " ") == polish


@pytest.mark.parametrize(
    ("number", "form"), [(1, "one"), (2, "two"), (3, "few"), (11, "many"), (100, "other")]
)
def test_arabic_plurals(number: float, form: str) -> None:
    """Arabic has six plurals (CLDR's chart, from memory), and each number asks for its own template."""
    voice = Voice(Habits(language="ar"))
    voice.counted("drops", number)
    assert [template.plural for template in voice.used] == [form]


def test_bounds_stand_in_words_and_signs() -> None:
    """Each way that a figure binds has a word and a sign; a value and a range need none."""
    cases: list[tuple[dict[str, float], str, str, str]] = [
        ({"min": 5}, "at least", "≥", "at least 5 min"),
        ({"min": 5, "strict": True}, "more than", ">", "more than 5 min"),
        ({"max": 5}, "at most", "≤", "at most 5 min"),
        ({"max": 5, "strict": True}, "less than", "<", "less than 5 min"),
        ({"value": 5}, "", "", "5 min"),
        ({"min": 3, "max": 5}, "", "", "3–5 min"),
    ]
    for given, word, sign, text in cases:
        said = shown(Figure.model_validate({"quantity": "time", "unit": "min", **given}))
        assert (said.bound_word, said.sign, said.text.replace(NB, " ")) == (word, sign, text)
        assert said.short.replace(NB, " ") == (text.replace(word, sign) if word else text)


@pytest.mark.parametrize(
    ("figure", "unit", "number", "makers"),
    [
        # 45 °C = 113 °F and 55 °C = 131 °F exactly: F = 9/5 C + 32.
        (Figure(quantity="temperature", max=45, unit="°C"), "°F", "113", "at most 45 °C"),
        (Figure(quantity="temperature", min=55, unit="°C"), "°F", "131", "at least 55 °C"),
        # 270 °F = 132.22… °C: the least is rounded up, the most down, a value to the nearest.
        (Figure(quantity="temperature", min=270, unit="°F"), "°C", "132.3", "at least 270 °F"),
        (Figure(quantity="temperature", max=270, unit="°F"), "°C", "132.2", "at most 270 °F"),
        (Figure(quantity="temperature", value=270, unit="°F"), "°C", "132.2", "270 °F"),
    ],
)
def test_temperature_as_the_department_reads_it(figure: Figure, unit: str, number: str, makers: str) -> None:
    """A department that reads another unit sees its own with the maker's beside, and never a laxer bound."""
    said = shown(figure, temperature=unit)
    assert (said.number, said.unit) == (number, unit)
    assert said.makers.replace(NB, " ") == makers


@pytest.mark.parametrize(
    ("unit", "number"),
    # 1 psi = 6.894757 kPa (NIST SP 811, appendix B; from memory), so 2 bar = 29.007… psi, rounded down.
    [("psi", "29"), ("kPa", "200"), ("mbar", "2,000"), ("bar", "2")],
)
def test_pressure_as_the_department_reads_it(unit: str, number: str) -> None:
    """Pressures turn into the department's unit and keep 'gauge' beside them."""
    said = shown(Figure(quantity="pressure", max=2, unit="bar", reference="gauge"), pressure=unit)
    assert (said.number, said.unit.replace(NB, " ")) == (number, f"{unit} gauge")
    assert bool(said.makers) == (unit != "bar")


@pytest.mark.parametrize(
    ("celsius", "fahrenheit", "shown_as"),
    # 132 °C is 269.6 °F and 40 °C is 104 °F: the first is rounded by its maker, the second is a misprint.
    [(132, 270, "at least 270 °F"), (40, 140, "at least 104 °F")],
)
def test_makers_own_second_unit_is_preferred_where_it_agrees(
    celsius: float, fahrenheit: float, shown_as: str
) -> None:
    """'132 °C (270 °F)' is shown as the maker wrote it; '40 °C (140 °F)' is not repeated on paper."""
    own = FigureValue(quantity="temperature", value=fahrenheit, unit="°F")
    both = Figure(quantity="temperature", min=celsius, unit="°C", also=(own,))
    step = Step(id="s1", stage="cleaning", action="soak", figures=(both,))
    text = Instruction(device=Device(name="Punch"), steps=(step,))
    habits = Habits(units=Units(temperature="°F"))
    said = plain_steps(None, text, habits)[0].figures[0]
    assert said.text.replace(NB, " ") == shown_as
    assert said.makers.replace(NB, " ") == f"at least {celsius} °C"


def test_count_and_volume_are_one_figure() -> None:
    """3 × 20 mL is said in one, and both figures of the instruction are told as shown."""
    count = Figure(quantity="count", value=3, unit="1", role="repeats")
    volume = Figure(quantity="volume", min=20, unit="mL")
    (said,) = plain_figures([ChosenFigure(required=count), ChosenFigure(required=volume)], Voice())
    assert said.text.replace(NB, " ") == "3 × at least 20 mL"
    assert said.short.replace(NB, " ") == "3 × ≥ 20 mL"
    assert said.approved == (count, volume)


def test_departments_figure_names_what_it_must_lie_in() -> None:
    """What will be used stands large, the maker's range beside it in words."""
    chosen = ChosenFigure(
        required=Figure(quantity="temperature", min=40, max=60, unit="°C"), use=Quantity(50.0, "°C")
    )
    (said,) = plain_figures([chosen], Voice(Habits(language="de")))
    assert (said.number, said.must.replace(NB, " ")) == ("50", "40–60 °C")

"""Plain words in every language: the same steps, each in its own words, the reference language beside."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sinkside.draft import draft_text
from sinkside.errors import BadInput, NotForTheFloor
from sinkside.instruction import (
    Action,
    Device,
    Feature,
    Instruction,
    MakerDocument,
    Origin,
    Part,
    Stage,
    Step,
    Translated,
    Translation,
)
from sinkside.language import Catalogue, catalogue
from sinkside.plain import LANGUAGES, Glossary, Habits, PlainStep, plain_steps
from sinkside.plain.templates import SEE_THE_TEXT
from sinkside.quantities import Figure
from sinkside.route import Binding, ChosenFigure, Operation, ResourceKind, Route, RoutedDevice, Station

OTHERS = tuple(language for language in LANGUAGES if language != "en")


def said(language: str, *, glossary: Glossary | None = None, **step: object) -> PlainStep:
    """One step of an invented punch in a language."""
    text = Instruction(
        device=Device(
            name="Punch",
            parts=(Part(id="p1", name="the lock screw"), Part(id="p2", name="shaft")),
            features=(Feature(id="f1", kind="lumen", part="p2"), Feature(id="f2", kind="jaw")),
        ),
        steps=(Step.model_validate({"id": "s1", "stage": "cleaning", "action": "brush", **step}),),
    )
    habits = Habits(language=language, glossary=glossary or Glossary())
    return plain_steps(None, text, habits)[0]


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("action", list(Action))
def test_every_action_can_be_said(language: str, action: Action) -> None:
    """Each action has words of its own in each language, with its thing named and without."""
    for on in ((), ("p1",)):
        step = said(language, action=action, on=on, origin=Origin(text="Do as the drawing shows."))
        assert step.headline
        assert step.reference is not None
        assert step.headline != step.reference.headline
        if on and "{on}" in step.templates[0].english:
            assert "lock screw" in step.headline


@pytest.mark.parametrize(
    ("language", "headline"),
    [
        ("de", "Bürsten: lock screw und Lumen"),
        ("fr", "Brosser\u00a0: lock screw et lumière"),
        ("es", "Cepillar: lock screw y luz"),
        ("pl", "Wyszczotkuj: lock screw i kanał"),
        ("vi", "Chải: lock screw và lòng ống"),
        ("zh", "刷洗\uff1alock screw和管腔"),
    ],
)
def test_names_stay_as_written_and_unbent(language: str, headline: str) -> None:
    """A part keeps the maker's name; a feature without one gets the language's word; lists join by CLDR."""
    assert said(language, on=("p1", "f1")).headline == headline


def test_department_says_what_a_part_is_called() -> None:
    """A glossary's entry stands in the place of the maker's name, in its own language alone."""
    glossary = Glossary(words={"pl": {"Lock Screw": "śruba blokująca"}})
    assert said("pl", glossary=glossary, on=("p1",)).headline == "Wyszczotkuj: śruba blokująca"
    assert said("de", glossary=glossary, on=("p1",)).headline == "Bürsten: lock screw"


@pytest.mark.parametrize("language", OTHERS)
def test_a_sentence_to_tell_somebody_is_headed_by_no_other_work(language: str) -> None:
    """Drafted and then read in another language it leads to the maker's words, and to no wrong verb."""
    words = "If one is missing, tell the operating theatre at once."
    text = draft_text(f"Preparation\n\n1. Count the parts. {words}\n")
    steps = plain_steps(None, text, Habits(language=language))
    assert [[one.english for one in step.templates if one.english == SEE_THE_TEXT] for step in steps] == [
        [SEE_THE_TEXT],
        [SEE_THE_TEXT],
    ]
    assert [step.quoted.strip("“”\u2068\u2069") for step in steps] == ["Count the parts.", words]


def test_makers_words_in_another_language_are_quoted() -> None:
    """What the maker says in prose is never passed off as the reader's language, nor left out."""
    step = said("pl", until="the water is clear", cautions=("never in saline",), condition="if soil is seen")
    assert step.until == "aż do: “the water is clear”"
    assert step.cautions == ("“Never in saline.”",)
    assert step.lines == ("warunek: “if soil is seen”",)
    assert step.written_in == "en"
    assert step.reference is not None
    assert step.reference.until == "until the water is clear"
    assert step.reference.cautions == ("Never in saline.",)


def test_document_in_two_languages_gives_its_own_sentence() -> None:
    """Where the maker's document has the sentence in the reader's language, that one is quoted."""
    english = "If soil is seen, repeat from step (g) with the whole punch and look again under the lens."
    german = "Bei Schmutz ab Schritt (g) mit der ganzen Stanze wiederholen und erneut unter der Lupe ansehen."
    origin = Origin(page=1, line=4, text=english)
    text = Instruction(
        device=Device(name="Punch", document=MakerDocument(language="en")),
        steps=(Step(id="s1", stage=Stage.inspection, action=Action.repeat, origin=origin),),
        translations=(
            Translation(language="de", passages=(Translated(origin=Origin(text=german), beside=origin),)),
        ),
    )
    assert plain_steps(None, text, Habits(language="de"))[0].quoted == f"“{german}”"
    assert plain_steps(None, text, Habits(language="pl"))[0].quoted == f"“{english}”"


def test_right_to_left_is_carried_in_the_values() -> None:
    """Arabic says its direction; foreign names and figures are isolated by the signs of Unicode's annex 9."""
    water = Figure(quantity="temperature", max=45, unit="°C")
    step = said("ar", on=("p1",), figures=(water,), positions={"jaw": "open"})
    assert step.direction == "rtl"
    assert "\u2068lock screw\u2069" in step.headline
    assert "\u206845\u00a0°C\u2069" in step.figures[0].text
    assert step.positions[0].words == "الفك مفتوح"
    assert step.reference is not None
    assert step.reference.direction == "ltr"
    assert "\u2068" not in step.reference.headline


def test_arabic_writes_western_digits() -> None:
    """CLDR's default numbering of 'ar' is latn, as Babel gives it."""
    step = said("ar", figures=(Figure(quantity="time", min=1500, unit="s"),))
    assert step.figures[0].number == "1,500"


def test_missing_translation_refuses_the_paper(monkeypatch: pytest.MonkeyPatch) -> None:
    """One template without translation is one sentence: which, and in what language."""

    def with_a_gap(language: str, collection: str = "") -> Catalogue:
        whole = catalogue(language, collection)
        kept = {key: message for key, message in whole.messages.items() if key != "Brush the {on}"}
        return Catalogue(language, kept)

    monkeypatch.setattr("sinkside.plain.voice.catalogue", with_a_gap)
    with pytest.raises(NotForTheFloor, match=r"pl: “Brush the \{on\}” has no translation in Polish"):
        said("pl", on=("p1",))
    assert said("pl").headline == "Wyszczotkuj"


def test_unknown_language_is_refused() -> None:
    """A language without plain words is bad input, named with those there are."""
    with pytest.raises(BadInput, match="there is no language 'ja' here; expected one of en, de"):
        said("ja")


@pytest.mark.parametrize("language", LANGUAGES)
def test_step_has_all_its_parts(language: str) -> None:
    """A machine program's phases, what is bound, what is held and told, and where, are all in one value."""
    steps = (
        Step(id="s1", stage="cleaning", action="wash", figures=(_warm(55),), positions={"jaw": "open"}),
        Step(id="s2", stage="disinfection", action="disinfect", figures=(_warm(90),)),
    )
    program = Binding(kind=ResourceKind.program, id="wd1", name="Washer 1", program="Instruments 2")
    operation = Operation(
        letter="A",
        stage=Stage.cleaning,
        station=Station.washer,
        steps=("s1", "s2"),
        action=Action.wash,
        bindings=(program,),
        positions={"jaw": "open"},
        figures=tuple(ChosenFigure(required=figure) for step in steps for figure in step.figures),
    )
    route = Route(
        device=RoutedDevice(name="Punch"), department="Sable Bay", resolved=True, operations=(operation,)
    )
    text = Instruction(device=Device(name="Punch"), steps=steps)
    (step,) = plain_steps(route, text, Habits(language=language))
    assert "Instruments 2" in step.headline
    assert [phase.step for phase in step.phases] == ["s1", "s2"]
    assert [re.sub(r"\D", "", figure.number) for phase in step.phases for figure in phase.figures] == [
        "55",
        "90",
    ]
    assert step.steps == ("s1", "s2")
    assert (step.action, step.stage, step.station) == (Action.wash, Stage.cleaning, Station.washer)
    assert [(one.feature, one.position, one.told) for one in step.positions] == [("jaw", "open", False)]


def _warm(at_least: float) -> Figure:
    return Figure(quantity="temperature", min=at_least, unit="°C")


def test_position_that_the_headline_asks_for_is_marked_as_told() -> None:
    """What the headline says is still there to be drawn, and need not be printed twice."""
    step = said("pl", action="set-position", positions={"jaw": "open", "ratchet": "released"})
    assert step.headline == "Otwórz szczęki. Zwolnij zapadkę"
    assert all(position.told for position in step.positions)
    assert len(step.positions) == 2


def test_one_step_names_the_templates_it_was_said_with() -> None:
    """Every template of a step is told, with both texts, so that a review can be asked for."""
    step = said("pl", on=("p1",), figures=(Figure(quantity="count", value=5, unit="1", role="strokes"),))
    told = {(template.english, template.plural, template.text) for template in step.templates}
    assert ("Brush the {on}", "", "Wyszczotkuj: {on}") in told
    assert ("strokes", "many", "pociągnięć") in told
    assert all(template.language == "pl" for template in step.templates)


def test_demo_words_do_not_change_with_the_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Catalogues come with the package, wherever one stands."""
    monkeypatch.chdir(tmp_path)
    catalogue.cache_clear()
    assert said("vi", on=("p1",)).headline == "Chải: lock screw"

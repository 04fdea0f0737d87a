"""Lessons: parts of ten minutes or fewer, each step once, drawn and explained; and only what changed."""

from __future__ import annotations

import functools
import random
from collections import Counter
from importlib import resources

import pytest

from sinkside.department import Department
from sinkside.documents import load
from sinkside.errors import BadInput
from sinkside.instruction import Action, Device, Instruction, Origin, Stage, Step
from sinkside.plain import Habits
from sinkside.plain.operations import shown_operations
from sinkside.quantities import Figure
from sinkside.route import Route, Station, resolve
from sinkside.teach.lesson import CHANGES, Lesson, changed_steps, difference_of, lesson_of
from sinkside.teach.reasons import MOST, About
from sinkside.teach.timing import LONGEST_MIN, WORDS_PER_MIN, minutes_of

_DATA = resources.files("sinkside.demo").joinpath("data")
DEMO = ("micro-scissors", "modular-dissector")


@functools.cache
def _demo(name: str) -> tuple[Instruction, Route]:
    with resources.as_file(_DATA) as folder:
        text = load(Instruction, folder / "instructions" / f"{name}.yaml")
        site = load(Department, folder / "department.yaml")
    return text, resolve(text, site)


def _letters(lesson: Lesson) -> list[str]:
    return [step.plain.letter for part in lesson.parts for step in part.steps]


@pytest.mark.parametrize("name", DEMO)
def test_every_operation_stands_in_a_lesson_once(name: str) -> None:
    """A lesson leaves nothing of a route out, tells nothing twice, and keeps its order."""
    text, route = _demo(name)
    assert _letters(lesson_of(text, route)) == [one.letter for one in shown_operations(route, text)]


@pytest.mark.parametrize("name", DEMO)
def test_a_lesson_explains_and_names_what_the_department_has(name: str) -> None:
    """Most steps say why, some warn, some show good and bad; machines have the department's names."""
    text, route = _demo(name)
    steps = [step for part in lesson_of(text, route).parts for step in part.steps]
    assert sum(bool(step.of(About.why) or step.plain.cautions) for step in steps) >= 0.6 * len(steps)
    assert all(any(step.of(about) for step in steps) for about in About)
    assert any(step.picture and "<svg" in step.picture.svg for step in steps)
    bound = {one.name for operation in route.operations for one in operation.bindings}
    told = " ".join(line for step in steps for line in (step.plain.headline, *step.plain.lines))
    assert bool(bound) == route.resolved
    assert [name for name in bound if name not in told] == []


def test_no_more_is_told_than_is_kept_in_mind() -> None:
    """Beside one step stand at most so many reasons of each kind, and none twice."""
    text, route = _demo("modular-dissector")
    for part in lesson_of(text, route).parts:
        for step in part.steps:
            assert all(len(step.of(about)) <= most for about, most in MOST.items())
            assert len({one.text for one in step.told}) == len(step.told)


def _made_up(seed: int, count: int) -> Instruction:
    """A text of many wordy steps at all places of the work."""
    dice = random.Random(seed)  # noqa: S311 # a repeatable text, no secret
    stages = sorted((dice.choice(list(Stage)) for _ in range(count)), key=list(Stage).index)
    actions = [dice.choice([one for one in Action if one is not Action.repeat]) for _ in stages]
    steps = tuple(
        Step(
            id=f"s{at}",
            stage=stage,
            action=action,
            until=" ".join(["clean"] * dice.randint(0, 40)) or None,
            cautions=tuple(f"Mind {word} {at}" for word in "abc"[: dice.randint(0, 3)]),
            figures=(Figure(quantity="time", min=dice.randint(1, 9), unit="min"),),
            origin=Origin(line=at + 1, text=f"Sentence {at}."),
        )
        for at, (stage, action) in enumerate(zip(stages, actions, strict=True))
    )
    return Instruction(device=Device(name="Made-up hook"), steps=steps)


@pytest.mark.parametrize("seed", range(3))
def test_no_part_takes_more_than_ten_minutes(seed: int) -> None:
    """However long a text, its parts are short, have ids of their own, and hold every step once."""
    text = _made_up(seed, 60)
    lesson = lesson_of(text, None)
    assert max(part.minutes for part in lesson.parts) <= LONGEST_MIN
    assert lesson.minutes > LONGEST_MIN
    assert max(Counter(part.id for part in lesson.parts).values()) == 1
    assert _letters(lesson) == [one.letter for one in shown_operations(None, text)]


def test_who_stands_at_the_table_is_not_taught_the_sink() -> None:
    """Soiled, wet, clean and sterile work never share a part, however short."""
    text = _made_up(3, 60)
    wet = {Station.sink, Station.ultrasonic, Station.washer}
    for part in lesson_of(text, None).parts:
        assert len({station in wet for station in part.stations}) == 1


def test_minutes_are_words_at_the_pace_of_reading_aloud() -> None:
    """Brysbaert (2019), abstract: 183 words a minute read aloud; so many more take a minute more."""
    assert WORDS_PER_MIN == 183.0
    short, long = (
        lesson_of(
            Instruction(
                device=Device(name="Hook"),
                steps=(Step(id="s1", stage="storage", action="store", cautions=(words,)),),
            ),
            None,
        )
        for words in ("dry", " ".join(["dry"] * 184))
    )
    assert minutes_of(long.parts[0].steps) - minutes_of(short.parts[0].steps) == pytest.approx(1.0)


@pytest.mark.parametrize("language", ["ar"])
def test_parts_are_the_same_in_every_language(language: str) -> None:
    """People of several languages learn the same parts; the reference stands beside each sentence."""
    text, route = _demo("modular-dissector")
    english, other = lesson_of(text, route), lesson_of(text, route, Habits(language=language))
    assert [(part.id, part.step_ids) for part in english.parts] == [
        (part.id, part.step_ids) for part in other.parts
    ]
    told = [one for part in other.parts for step in part.steps for one in step.told]
    reference = [one for part in english.parts for step in part.steps for one in step.told]
    assert [one.beside for one in told] == [one.text for one in reference]
    assert all(one.text != one.beside for one in told)
    assert {one.language for one in other.templates} == {language}


def test_an_unknown_language_is_refused() -> None:
    """A language without plain words is named as a fault, not spelt in English."""
    text, route = _demo("micro-scissors")
    with pytest.raises(BadInput, match="no language 'xx'"):
        lesson_of(text, route, Habits(language="xx"))


def _changed(text: Instruction, step: str, **fields: object) -> Instruction:
    steps = tuple(one.model_copy(update=fields) if one.id == step else one for one in text.steps)
    return text.model_copy(update={"steps": steps})


@pytest.mark.parametrize("name", DEMO)
def test_a_changed_figure_makes_a_lesson_of_its_step_alone(name: str) -> None:
    """For each step with figures in turn: another figure there is all that the lesson tells."""
    text, route = _demo(name)
    for step in [one for one in text.steps if one.figures][::5]:
        other = step.figures[0].model_copy(update={"as_written": "otherwise"})
        after = _changed(text, step.id, figures=(other, *step.figures[1:]))
        lesson = difference_of(text, after, route, revisions=(1, 2))
        assert lesson is not None
        assert (lesson.since, lesson.revision, lesson.gone) == (1, 2, ())
        assert [part.id for part in lesson.parts] == [CHANGES]
        assert {step.id} <= set(lesson.parts[0].step_ids)
        assert len(lesson.parts[0].steps) == 1
        assert lesson.minutes <= 2.0


def test_renumbering_teaches_nobody_anything() -> None:
    """The same steps under other ids, on other pages, are no news; one left out is told as gone."""
    text, route = _demo("micro-scissors")
    moved = tuple(
        one.model_copy(update={"id": f"x{at}", "origin": one.origin.model_copy(update={"page": 9})})
        for at, one in enumerate(text.steps)
    )
    assert difference_of(text, text.model_copy(update={"steps": moved}), route) is None
    fewer = text.model_copy(update={"steps": text.steps[:-1]})
    gone = difference_of(text, fewer, None)
    assert gone is not None
    assert changed_steps(text, fewer) == (frozenset(), frozenset({text.steps[-1].id}))
    assert len(gone.gone) == 1


@pytest.mark.parametrize("seed", range(12))
def test_a_lesson_of_changes_tells_the_steps_that_were_changed_and_no_other(seed: int) -> None:
    """By brute force: whichever steps of a long text are changed or struck, those alone are new or gone."""
    dice = random.Random(seed)  # noqa: S311 # a repeatable text, no secret
    before = _made_up(seed, 25)
    chosen = set(dice.sample([one.id for one in before.steps], dice.randint(0, 4)))
    struck = set(dice.sample(sorted({one.id for one in before.steps} - chosen), dice.randint(0, 2)))
    steps = tuple(
        one.model_copy(update={"until": f"{one.until or ''} and it shines"}) if one.id in chosen else one
        for one in before.steps
        if one.id not in struck
    )
    renamed = {one.id: f"n{at}" for at, one in enumerate(steps)}
    after = before.model_copy(
        update={"steps": tuple(one.model_copy(update={"id": renamed[one.id]}) for one in steps)}
    )
    changed, gone = changed_steps(before, after)
    assert changed == {renamed[one] for one in chosen}
    assert gone == struck

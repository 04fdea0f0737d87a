"""German, French and Spanish texts, each read with its own lexicon."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import yaml

from sinkside.draft import draft_text
from sinkside.instruction import Instruction, StatementKind, Step
from sinkside.quantities import Figure

HERE = Path(__file__).parent / "languages"
TRUTH: dict[str, Any] = yaml.safe_load((HERE / "truth.yaml").read_text("utf-8"))
LANGUAGES = tuple(TRUTH)

STEPS_FOUND = 0.97
STAGES_RIGHT = 0.95
FIGURES_F1 = 0.97
POSITIONS_F1 = 0.9

End = tuple[float | None, float | None, str]


@pytest.fixture(scope="module")
def drafted() -> dict[str, Instruction]:
    """Each text, drafted in its own language."""
    return {
        language: draft_text((HERE / f"{language}.txt").read_text("utf-8"), language=language)
        for language in LANGUAGES
    }


def _ends(figure: Figure) -> End:
    low = figure.value if figure.value is not None else figure.min
    high = figure.value if figure.value is not None else figure.max
    return low, high, figure.unit


def _found(instruction: Instruction, wanted: dict[str, Any]) -> Step | None:
    return next(
        (
            step
            for step in instruction.steps
            if wanted["words"] in step.origin.text and step.action == wanted["action"]
        ),
        None,
    )


def _f1(wanted: Counter[Any], found: Counter[Any]) -> float:
    return 2 * (wanted & found).total() / (wanted.total() + found.total())


@pytest.mark.parametrize("language", LANGUAGES)
def test_steps_are_found_with_their_stage(language: str, drafted: dict[str, Instruction]) -> None:
    """What the text asks for becomes a step of the right action, under the stage that its heading says."""
    wanted = TRUTH[language]["steps"]
    found = [(one, _found(drafted[language], one)) for one in wanted]
    assert sum(step is not None for _, step in found) / len(wanted) >= STEPS_FOUND
    right = [step is not None and step.stage == one["stage"] for one, step in found]
    assert sum(right) / len(wanted) >= STAGES_RIGHT


@pytest.mark.parametrize("language", LANGUAGES)
def test_figures_are_read_with_their_bounds(language: str, drafted: dict[str, Instruction]) -> None:
    """Decimal commas, number words and the language's bound words give the figures of the truth."""
    wanted = Counter(
        (one["words"], *end) for one in TRUTH[language]["steps"] for end in map(tuple, one.get("figures", []))
    )
    found: Counter[Any] = Counter()
    for one in TRUTH[language]["steps"]:
        step = _found(drafted[language], one)
        found.update((one["words"], *_ends(figure)) for figure in (step.figures if step else ()))
    assert _f1(wanted, found) >= FIGURES_F1


@pytest.mark.parametrize("language", LANGUAGES)
def test_positions_are_those_that_the_text_asks_for(language: str, drafted: dict[str, Instruction]) -> None:
    """A released ratchet, an open jaw and a connected port are read from the language's own words."""
    wanted: Counter[Any] = Counter()
    found: Counter[Any] = Counter()
    for one in TRUTH[language]["steps"]:
        step = _found(drafted[language], one)
        wanted.update((one["words"], *held) for held in one.get("positions", {}).items())
        kept = {} if step is None else {k: v for k, v in step.positions.items() if k != "part"}
        found.update((one["words"], *held) for held in kept.items())
    assert _f1(wanted, found) >= POSITIONS_F1


@pytest.mark.parametrize("language", LANGUAGES)
def test_limits_and_prohibitions_are_no_steps(language: str, drafted: dict[str, Instruction]) -> None:
    """What must never be passed is a limit, what must never be done a prohibition."""
    instruction = drafted[language]
    found = {(limit.limits, *_ends(limit)[:2]) for limit in instruction.device.limits}
    assert found == {tuple(limit) for limit in TRUTH[language]["limits"]}
    forbidden = [one.origin.text for one in instruction.statements if one.kind is StatementKind.prohibition]
    for words in TRUTH[language]["prohibited"]:
        assert any(words in text for text in forbidden)


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_figure_is_left_over(language: str, drafted: dict[str, Instruction]) -> None:
    """Every number found a place, and the document says in which language it was read."""
    assert drafted[language].not_understood == ()
    assert drafted[language].device.document.language == language


@pytest.mark.parametrize(
    ("language", "words", "low", "high"),
    [
        ("de", "Nicht länger als 10 Minuten in die Lösung einlegen.", None, 10.0),
        ("de", "Muss mindestens 1,5 Minuten gespült werden.", 1.5, None),
        ("de", "Zwischen 5 und 10 min beschallen.", 5.0, 10.0),
        ("fr", "Tremper pas plus de 10 minutes.", None, 10.0),
        ("fr", "Rincer pendant 1,5 minute ou plus.", 1.5, None),
        ("fr", "Sécher de 5 à 10 min.", 5.0, 10.0),
        ("es", "Sumergir no más de 10 minutos.", None, 10.0),
        ("es", "Enjuagar durante 1,5 minutos o más.", 1.5, None),
        ("es", "Secar entre 5 y 10 min.", 5.0, 10.0),
    ],
)
def test_bounds_in_each_language(language: str, words: str, low: float | None, high: float | None) -> None:
    """At most, at least and a range, each as the language words it."""
    instruction = draft_text(words, language=language)
    [figure] = [figure for step in instruction.steps for figure in step.figures]
    assert _ends(figure) == (low, high, "min")

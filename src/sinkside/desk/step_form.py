"""A step as a form of plain text that people edit, and back; every fault is told with its field."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from sinkside.documents import faults_of
from sinkside.errors import BadDocument, Fault
from sinkside.instruction import FigureRole, Step
from sinkside.quantities import Figure


@dataclass(frozen=True)
class StepForm:
    """The fields of a step as text; lists with one entry a line.

    A figure is written as in the text, with its part in brackets where the words do not say it:
    `20 min (drying)`. A position is `jaw: open`.
    """

    stage: str
    action: str
    on: str = ""
    with_: str = ""
    tools: str = ""
    figures: str = ""
    positions: str = ""
    air_removal: str = ""
    until: str = ""
    condition: str = ""
    cautions: str = ""
    alternative: str = ""


def form_of(step: Step) -> StepForm:
    """A step as text that `step_of` reads back to the same step."""
    return StepForm(
        stage=step.stage.value,
        action=step.action.value,
        on="\n".join(step.on),
        with_=step.with_ or "",
        tools="\n".join(step.tools),
        figures="\n".join(_written(figure) for figure in step.figures),
        positions="\n".join(f"{feature}: {position}" for feature, position in step.positions.items()),
        air_removal=step.air_removal.value if step.air_removal else "",
        until=step.until or "",
        condition=step.condition or "",
        cautions="\n".join(step.cautions),
        alternative=step.alternative or "",
    )


def step_of(form: StepForm, *, base: Step | None = None) -> Step:
    """The step that a form says.

    Args:
        form: the fields as text.
        base: the step that is corrected; what the form does not show, and figures that it leaves as they
            were, stay exactly. A new step gets its id when it is added.

    Raises:
        BadDocument: with every fault and its field.
    """
    faults: list[Fault] = []
    values: dict[str, Any] = base.model_dump(by_alias=True) if base else {"id": "new"}
    values |= {
        "stage": form.stage.strip(),
        "action": form.action.strip(),
        "on": _lines(form.on),
        "with": form.with_.strip() or None,
        "tools": _lines(form.tools),
        "figures": list(_figures(form.figures, base, faults)),
        "positions": dict(_positions(form.positions, faults)),
        "air_removal": form.air_removal.strip() or None,
        "until": form.until.strip() or None,
        "condition": form.condition.strip() or None,
        "cautions": _lines(form.cautions),
        "alternative": form.alternative.strip() or None,
    }
    try:
        step = Step.model_validate(values)
    except ValidationError as error:
        raise BadDocument([*faults, *faults_of(error)], resource="step") from error
    if faults:
        raise BadDocument(faults, resource="step")
    return step


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _written(figure: Figure) -> str:
    from sinkside.language import figure_text

    words = " ".join((figure.as_written or figure_text(figure)).split())
    return f"{words} ({figure.role})" if figure.role else words


def _figures(text: str, base: Step | None, faults: list[Fault]) -> Iterator[Figure]:
    unchanged = {_written(figure): figure for figure in base.figures} if base else {}
    for line in _lines(text):
        kept = unchanged.get(" ".join(line.split()))
        if kept is not None:
            yield kept
            continue
        words, _, role = line.rstrip(")").partition("(")
        found = _read(words)
        known_role = role.strip() or None
        if len(found) != 1:
            faults.append(Fault("figures", f"'{line}' is no figure; expected one such as 'at least 4 min'"))
        elif known_role is not None and known_role not in list(FigureRole):
            roles = ", ".join(FigureRole)
            faults.append(Fault("figures", f"'{known_role}' is no part of a figure; expected one of {roles}"))
        else:
            yield found[0].model_copy(update={"role": known_role or found[0].role})


def _read(words: str) -> list[Figure]:
    from sinkside.draft.grammar import FigureGrammar
    from sinkside.draft.lexicon import read_words

    read = FigureGrammar(read_words(words.strip(), "en")).read()
    if any(one.unread for one in read):
        return []
    return [figure for one in read for figure in one.figures]


def _positions(text: str, faults: list[Fault]) -> Iterator[tuple[str, str]]:
    for line in _lines(text):
        feature, colon, position = line.partition(":")
        if colon:
            yield feature.strip(), position.strip()
        else:
            faults.append(Fault("positions", f"'{line}' is no position; expected one such as 'jaw: open'"))

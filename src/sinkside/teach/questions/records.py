"""Questions for the drawn record of a steam cycle: the text's own figures, met or with one fault."""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Final

import numpy as np

from sinkside.cycles import Recording, faults_of, simulate_many
from sinkside.department import Program
from sinkside.language import number
from sinkside.language.numbers import with_unit
from sinkside.plain import plain_figures
from sinkside.route import ChosenFigure
from sinkside.teach.question import Choice, Question, QuestionKind
from sinkside.teach.questions import templates
from sinkside.teach.questions.asking import Asked, question_from, sentences
from sinkside.teach.questions.case import Case, ToldStep, ends_mark
from sinkside.teach.questions.plotting import Plot, plot_svg
from sinkside.teach.questions.programs import AskedCycle, asked_cycle

_SEED: Final = 9
_INTERVAL_S: Final = 2.0
_KEPT: Final = 64

#: Each fault with its size, and what its record shows; the sizes are seen at a glance.
_SHOWN: Final[Mapping[str, tuple[float | None, str]]] = {
    "normal": (None, templates.RECORD_MEETS),
    "short-exposure": (60.0, templates.EXPOSURE_SHORT),
    "low-temperature": (6.0, templates.TOO_COLD),
    "missing-dry": (None, templates.NO_DRYING),
}
#: A plateau that is too cold is also none of the asked length: one is never offered beside the other.
_ALSO_SO: Final = frozenset({(templates.TOO_COLD, templates.EXPOSURE_SHORT)})


def cycle_questions(case: Case) -> Iterator[Question]:
    """For each steam cycle of the text: records that meet it, or miss one thing."""
    for told in case.told:
        asked = asked_cycle(told.step, case.instruction, case.programs.get(told.step.id))
        if asked is None:
            continue
        for fault in recorded(asked.program):
            question = _question(told, asked, fault, case)
            if question is not None:
                yield question


@functools.lru_cache(maxsize=_KEPT)
def recorded(program: Program) -> Mapping[str, Recording]:
    """The records of a program's cycle by fault, made side by side; the same program gives the same."""
    faults = [fault for fault in _SHOWN if fault in faults_of(program)]
    sizes = [_SHOWN[fault][0] for fault in faults]
    made = simulate_many(program, faults, [_SEED] * len(faults), interval_s=_INTERVAL_S, sizes=sizes)
    return dict(zip(faults, made, strict=True))


def _question(told: ToldStep, asked: AskedCycle, fault: str, case: Case) -> Question | None:
    say = case.voice.say
    right = _SHOWN[fault][1]
    figures = plain_figures([ChosenFigure(required=one) for one in asked.figures], case.voice)
    wording = ", ".join(f"{one.text} {one.label}".strip() for one in figures)
    put = Asked(
        kind=QuestionKind.cycle_plot,
        told=told,
        mark=(fault, *(ends_mark(one) for one in asked.figures)),
        prompt=sentences(say(templates.PLOT, figures=wording), say(templates.PLOT_FAULT)),
        right=Choice(text=say(right)),
        drawing=_drawn(asked.program, recorded(asked.program)[fault], case),
    )
    others = [shown for _, shown in _SHOWN.values() if shown != right and (right, shown) not in _ALSO_SO]
    offered = [shown for shown in others if asked.is_dried or shown != templates.NO_DRYING]
    why = say(templates.NOT_SO)
    return question_from(put, [Choice(text=say(shown), why=why) for shown in offered], case)


def _drawn(program: Program, recording: Recording, case: Case) -> str:
    exposure = program.exposure
    if exposure is None or recording.pressure_kpa is None:
        return ""
    low = exposure.temperature.to("°C")
    band = (low, low + exposure.band.to("K"))
    minutes = (recording.times_s - recording.times_s[0]) / 60.0
    probe = recording.probes_c.min(axis=0)
    return plot_svg(
        Plot(
            minutes=minutes,
            temperature_c=probe,
            pressure_kpa=recording.pressure_kpa,
            band_c=band,
            title=case.voice.say(templates.RECORD),
            told=_told(recording, band, case),
        )
    )


def _told(recording: Recording, band: tuple[float, float], case: Case) -> str:
    """What is to be seen, in figures, for who cannot see it."""
    probe = recording.probes_c.min(axis=0)
    every_min = float(np.median(np.diff(recording.times_s))) / 60.0
    inside = (probe >= band[0]) & (probe <= band[1])
    last = int(np.flatnonzero(probe >= probe.max() - 1.0)[-1])
    pressure = recording.pressure_kpa
    low = pressure[last:] <= _DRY_KPA if pressure is not None else np.zeros(0)
    language = case.voice.language

    def shown(value: float, unit: str) -> str:
        return with_unit(
            number(round(value, 1), language), unit, language, plural_of=Decimal(str(round(value, 1)))
        )

    return case.voice.say(
        templates.PLOT_TOLD,
        hottest=shown(float(probe.max()), "°C"),
        held=shown(float(inside.sum()) * every_min, "min"),
        vacuum=shown(_DRY_KPA, "kPa"),
        dried=shown(float(low.sum()) * every_min, "min"),
    )


#: Below this the chamber is under vacuum, in kPa absolute: the pressure of the program's drying.
_DRY_KPA: Final = 10.0

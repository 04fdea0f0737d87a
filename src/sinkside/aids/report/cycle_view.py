"""A machine cycle as a report shows it."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.aids.report.finding_view import finding_views
from sinkside.aids.report.plot import cycle_plot
from sinkside.aids.report.plot_svg import plot_svg
from sinkside.aids.report.request import CycleReport
from sinkside.aids.report.views import CriterionView, CycleView
from sinkside.aids.report.wording import ANSWERS, name_words, phase_words
from sinkside.cycles import Criterion, MeasuredValue, RecorderFacts, Verdict
from sinkside.language import computed, measure, render

_DECIMALS = 2
_SMALLEST_SHOWN = 0.01

_MET = {True: ("met", "met"), False: ("stop", "missed"), None: ("open", "not judged")}


def cycle_view(cycle: CycleReport, key: str, language: str = "en") -> CycleView:
    """One cycle as the template shows it."""
    verdict = cycle.verdict
    sign, word = ANSWERS[verdict.verdict]
    plot = plot_svg(
        cycle_plot(cycle.trace, verdict, cycle.program, language=language),
        key=f"{key}-plot",
        title=render("Record of {trace}", {"trace": verdict.trace}, language),
        description=_what_was_judged(verdict, language),
        language=language,
    )
    return CycleView(
        key=key,
        name=verdict.trace,
        program=verdict.program,
        answer=verdict.verdict,
        sign=sign,
        word=render(word, {}, language),
        summary=verdict.summary,
        plot=plot,
        criteria=tuple(_criterion(criterion, language) for criterion in verdict.criteria),
        values=tuple(_values(verdict, language)),
        evidence=tuple(
            (name_words(name, language), render(outcome, {}, language))
            for name, outcome in verdict.evidence.items()
        ),
        recorder=tuple(_recorder(verdict.recorder, language)),
        findings=finding_views(verdict.findings, language),
    )


def _what_was_judged(verdict: Verdict, language: str) -> str:
    """The picture in words: the phases with their times, and the verdict's own sentence."""
    spans = [
        render(
            "{phase} from {start:.1} to {end:.1} min",
            {
                "phase": phase_words(phase.name, language),
                "start": phase.start_s / 60,
                "end": phase.end_s / 60,
            },
            language,
        )
        for phase in verdict.phases
    ]
    return " ".join([verdict.summary, "; ".join(spans)]).strip()


def _criterion(criterion: Criterion, language: str) -> CriterionView:
    """A criterion with as many digits as it takes that nothing is rounded up to a pass."""
    sign, word = _MET[criterion.met]
    decimals = _decimals(criterion)

    def written(value: float | None, unit: str) -> str:
        return "–" if value is None else measure(value, unit, language, decimals=decimals)

    # The margin of a reading in °C is a difference.
    margin = written(criterion.margin, "K" if criterion.unit == "°C" else criterion.unit)
    return CriterionView(
        name=name_words(criterion.id, language),
        required=written(criterion.required, criterion.unit),
        measured=written(criterion.measured, criterion.unit),
        margin=f"+{margin}" if (criterion.margin or 0) > 0 else margin,
        sign=sign,
        word=render(word, {}, language),
    )


def _decimals(criterion: Criterion) -> int | None:
    """Two decimals, unless they would hide that the figures differ."""
    margin = criterion.margin or 0.0
    return None if 0 < abs(margin) < _SMALLEST_SHOWN else _DECIMALS


def _values(verdict: Verdict, language: str) -> Iterator[tuple[str, str, str]]:
    """Each value, and what it rests on: the sensors' span and the reference."""
    for name, value in verdict.values.items():
        yield (
            name_words(name, language),
            computed(value.value, value.unit, language),
            "; ".join(_rests_on(value, language)),
        )


def _rests_on(value: MeasuredValue, language: str) -> Iterator[str]:
    if value.low is not None and value.high is not None:
        yield render(
            "{low} to {high} with the sensors’ tolerance",
            {
                "low": computed(value.low, value.unit, language),
                "high": computed(value.high, value.unit, language),
            },
            language,
        )
    if value.reference_c is not None:
        yield render("reference {t}", {"t": measure(value.reference_c, "°C", language)}, language)
    if value.z_k is not None:
        yield render("z {z}", {"z": measure(value.z_k, "K", language)}, language)


def _recorder(recorder: RecorderFacts, language: str) -> Iterator[str]:
    yield render("{n} probes" if recorder.probes != 1 else "{n} probe", {"n": recorder.probes}, language)
    if recorder.interval_s is not None:
        yield render(
            "one sample every {interval}", {"interval": measure(recorder.interval_s, "s", language)}, language
        )
    yield from recorder.inferred

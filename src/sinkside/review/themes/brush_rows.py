"""Brushes that a table tells for each bore: whether they fit, and whether each bore is brushed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, FeatureKind, Stage, Step
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import says
from sinkside.review.plausible import WIDEST_BRUSH_TO_BORE
from sinkside.review.rule import Theme, Trip, book, rule

_NUMBER = r"\d+(?:[.,]\d+)?"
_PAIR = re.compile(
    rf"(?<![\d.,])(?P<thick>{_NUMBER})\s*(?:mm)?\s*(?:diameter\s*)?[x\u00d7/]\s*(?P<long>{_NUMBER})\s*(?P<unit>mm|cm)\b"
)
_SIZE = re.compile(rf"(?<![\d.,])(?P<number>{_NUMBER})\s*(?P<unit>mm|cm)\b")
_LABEL = re.compile(r"^\W*(?P<label>[A-Z]{1,4}(?:-?[A-Z0-9]{1,3})?)(?=[\s|])")
_RANGE = re.compile(r"\b[A-Z]{1,4}-?\d?\s*(?:to|through|-|\u2013|\.\.)\s*[A-Z]{0,4}-?\d\b")
_SIZES_OF_A_WAY = 2
_FEWEST_ROWS = 2
_TOO_THIN = 0.9
_MM = {"mm": 1.0, "cm": 10.0}


@dataclass(frozen=True)
class _Row:
    """One row: the label of its part, the bore and length of its way, and its brush; all sizes in mm."""

    passage: Passage
    label: str | None
    bore: float
    length: float
    thick: float
    long: float


@rule(
    Theme.reach,
    Level.concern,
    title="A brush of a table does not fit the bore of its own row.",
    message="A brush of {thick} × {long} is told for a bore of {bore} that is {length} long.",
    remedy="Ask the maker for the diameter and the length of the brush.",
)
def brush_misfits_its_row(case: Case) -> Iterator[Trip]:
    """Thickness and length of each row's brush against its bore; from both ends half the length will do."""
    share = 0.5 if any(says(words(step), "both-ends") for step in case.doing(Action.brush)) else 1.0
    for row in _rows(case):
        fits = _TOO_THIN * row.bore <= row.thick <= WIDEST_BRUSH_TO_BORE * row.bore
        if not fits or row.long < share * row.length:
            sizes = {"thick": row.thick, "long": row.long, "bore": row.bore, "length": row.length}
            evidence: Evidence = {name: Measure(value=size, unit="mm") for name, size in sizes.items()}
            others = [case.place(step) for step in _brushings(case) if step.origin.text != row.passage.text]
            yield Trip(row.passage.place, evidence, tuple(others[:1]))


@rule(
    Theme.reach,
    Level.concern,
    title="A table tells a brush for a bore, and no step brushes it.",
    message="A brush is told for each bore, and no step brushes {what}.",
    remedy="Ask the maker when and how often the bore is brushed.",
    source=book("iso-17664-1"),
)
def brush_told_and_not_used(case: Case) -> Iterator[Trip]:
    """Rows with brushes in a text that brushes no inside, or names its bores and leaves one out."""
    rows = list(_rows(case))
    own = {row.passage.text for row in rows}
    inside = [step for step in _brushings(case) if step.origin.text not in own]
    if rows and not inside and any(step.stage is Stage.cleaning for step in case.steps):
        yield Trip(case.heading_for(Stage.cleaning), {"what": "any bore"}, (rows[0].passage.place,))
        return
    lost = _left_out(rows, [words(step) for step in inside])
    for row in lost:
        yield Trip(case.place(inside[0]), {"what": row.label or "it"}, (row.passage.place,))


def _left_out(rows: list[_Row], said: list[str]) -> list[_Row]:
    """The rows whose label no brushing names, where each brushing names some of the labels."""
    labelled = [row for row in rows if row.label]
    if len(labelled) < _FEWEST_ROWS or not said:
        return []
    named = [{row.label for row in labelled if re.search(rf"\b{row.label}\b", text)} for text in said]
    is_open = any(_RANGE.search(text) or says(text, "all-but") for text in said)
    if is_open or not all(named):
        return []
    return [row for row in labelled if not any(row.label in one for one in named)]


def _brushings(case: Case) -> list[Step]:
    """The steps of cleaning that brush an inside."""
    lumens = {one.id for one in case.instruction.device.features if one.kind is FeatureKind.lumen}
    return [
        step
        for step in case.steps
        if step.stage in {Stage.cleaning, Stage.disinfection}
        and (step.action is Action.brush or says(words(step), "brushing"))
        and (lumens & set(step.on) or any(says(words(step), sense) for sense in _INSIDE))
    ]


_INSIDE = ("lumen-words", "inside-words", "through")


def _rows(case: Case) -> Iterator[_Row]:
    """The rows with a bore, its length and a brush told as thickness times length."""
    for passage in case.sentences:
        text = passage.text
        pairs = list(_PAIR.finditer(text)) if "|" in text else []
        if len(pairs) != 1 or says(text, "negation"):
            continue
        pair = pairs[0]
        sizes = sorted(_in_mm(size) for size in _SIZE.finditer(text, 0, pair.start()))
        if len(sizes) != _SIZES_OF_A_WAY or sizes[0] * 2 > sizes[1]:
            continue
        label = _LABEL.match(text.lstrip("| "))
        unit = _MM[pair["unit"]]
        thick, long = (float(pair[name].replace(",", ".")) * unit for name in ("thick", "long"))
        if thick < long:
            yield _Row(passage, label["label"] if label else None, sizes[0], sizes[1], thick, long)


def _in_mm(size: re.Match[str]) -> float:
    return float(size["number"].replace(",", ".")) * _MM[size["unit"]]


RULES = (brush_misfits_its_row, brush_told_and_not_used)

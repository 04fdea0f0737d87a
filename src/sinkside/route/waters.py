"""Water points held against the grade that an instruction names."""

from __future__ import annotations

import functools

from sinkside.department import Department, WaterGrade, WaterPoint
from sinkside.route import proposals, sizes
from sinkside.route.appraisal import Appraisal, Candidate, Refusal, Remark, Repair, bound
from sinkside.route.document import ChosenFigure, ResourceKind
from sinkside.route.needs import WaterNeed
from sinkside.route.other_machines import range_words
from sinkside.route.phrases import Phrase, Words
from sinkside.route.remarks import CHLORIDE_UNTESTED
from sinkside.route.windows import Window, amount, span

#: Each grade does for all before it (common practice; the grades are those of the department's documents).
_ORDER = (
    WaterGrade.tap,
    WaterGrade.utility,
    WaterGrade.demineralised,
    WaterGrade.critical,
    WaterGrade.sterile,
)
_RANK = {grade: rank for rank, grade in enumerate(_ORDER)}


def water_reaches(point: WaterPoint | None, grade: WaterGrade) -> bool:
    """Whether a water point gives water of a grade or better.

    >>> water_reaches(WaterPoint(id="w", name="tap", grade=WaterGrade.tap), WaterGrade.critical)
    False
    """
    return point is not None and _RANK[point.grade] >= _RANK[grade]


def appraise_water(need: WaterNeed, department: Department) -> Appraisal:
    """The water points: grade, temperature and chloride."""
    thing = functools.partial(proposals.thing_for, need)
    words = Phrase("A water point that gives {wanted}.", {"wanted": need.wanted})
    found = Appraisal(purchase=Repair(words, sizes.WATER, thing))
    for point in department.water:
        faults = _faults(need, point)
        if faults:
            found.refusals.append(Refusal(point.id, point.name, tuple(faults)))
        else:
            found.candidates.append(_candidate(need, point))
    return found


def _faults(need: WaterNeed, point: WaterPoint) -> list[Words]:
    faults: list[Words] = []
    if not water_reaches(point, need.grade):
        faults.append(Phrase("it is {grade} water", {"grade": Phrase(point.grade.value)}))
    if need.temperature and point.temperature and not _temperature_fits(need.temperature, point):
        faults.append(Phrase("it runs at {range}", {"range": range_words(point.temperature)}))
    if need.chloride and point.chloride and not need.chloride.admits(amount(point.chloride, "mg/L")):
        faults.append(Phrase("it has {chloride} of chloride", {"chloride": str(point.chloride)}))
    return faults


def _temperature_fits(window: Window, point: WaterPoint) -> bool:
    """A tap is mixed by hand: what it can give and what is stated need only meet."""
    return point.temperature is None or window.meets(*span(point.temperature, "°C"))


def _candidate(need: WaterNeed, point: WaterPoint) -> Candidate:
    untested = need.chloride is not None and point.chloride is None
    return Candidate(
        bindings=(bound(ResourceKind.water, point.id, point.name),),
        why=Phrase("{water} is {grade} water", {"water": point.name, "grade": Phrase(point.grade.value)}),
        uses=(ChosenFigure(required=need.temperature.figure),) if need.temperature else (),
        remarks=(Remark(CHLORIDE_UNTESTED, {"water": point.name}),) if untested else (),
        excess=float(_RANK[point.grade] - _RANK[need.grade]),
    )

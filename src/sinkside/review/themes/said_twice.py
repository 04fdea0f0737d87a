"""One figure of the work told in two places: the dose of a cleaner, the exposure, the drying behind it."""

from __future__ import annotations

import dataclasses
import itertools
import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sinkside.findings import Level
from sinkside.instruction import Action, FigureRole, Stage
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import found, says, sentence_with
from sinkside.review.rule import Theme, Trip, book, rule
from sinkside.review.stated import exposures, held, shown, steam_steps

#: A label that a list of agents gives: "Cleaner P1", "| P3 | cleaner for the washer |".
_LABEL = re.compile(r"(?<![\w.-])[A-Z]{1,2}\d{1,2}(?![\w.])")
_NOT_LABELS = frozenset({"A0", "F0"})
_ML_IN_A_LITRE = 1000.0
_SAME = 1.06
_LONGEST_FIRST_S = 4 * 3600.0
_STEM = 5
_SECOND = 1.0
_WORDS_OF_A_ROW = 8
_ROWS_OF_A_CYCLE = 5
_NO_AGENT = ("alcohol", "saline", "peroxide", "chloride-free", "humid-words")


@dataclass(frozen=True)
class _Dose:
    """A dose in mL per litre from its lower to its upper end, and what the words call the agent."""

    passage: Passage
    figure: Figure
    least: float
    most: float
    labels: frozenset[str]
    kinds: frozenset[str]
    by_machine: bool

    def is_of(self, other: _Dose) -> bool:
        """Whether both are for one agent: by label where both have one, else by kind and way of cleaning."""
        if self.labels and other.labels:
            return bool(self.labels & other.labels)
        if self.by_machine != other.by_machine:
            return False
        return self.kinds <= other.kinds or other.kinds <= self.kinds

    def agrees(self, other: _Dose) -> bool:
        """Whether two doses leave room for each other."""
        return self.least <= other.most * _SAME and other.least <= self.most * _SAME


@rule(
    Theme.contradictions,
    Level.concern,
    title="Two different doses are given for one cleaner.",
    message="{first} is given here and {second} elsewhere for the same cleaner.",
    remedy="Get the maker's written answer: which dose holds.",
)
def doses_differ(case: Case) -> Iterator[Trip]:
    """Doses of one agent in two sentences that leave no room for each other and name no condition."""
    told = list(_doses(case))
    for one, other in itertools.combinations(told, 2):
        is_named = bool(one.labels & other.labels) or bool(one.kinds & other.kinds)
        is_sure = is_named or _is_one_agent(dose for dose in told if dose.by_machine is one.by_machine)
        if is_sure and one.passage.text != other.passage.text and one.is_of(other) and not one.agrees(other):
            evidence = {"first": shown(one.figure), "second": shown(other.figure)}
            yield Trip(one.passage.place, evidence, (other.passage.place,))
            return


@rule(
    Theme.contradictions,
    Level.concern,
    title="An exposure to steam is told that a cycle of the text does not have.",
    message="An exposure of {time} is told here, and a cycle of the text has another.",
    remedy="Get the maker's written answer: which exposure holds; until then the longer one does.",
)
def exposure_of_no_cycle(case: Case) -> Iterator[Trip]:
    """Exposures without a temperature beside them, against the exposures of all cycles."""
    cycles = [(step, time) for step in steam_steps(case) for _, _, time, _ in held(step)]
    for passage in case.sentences:
        if not _is_of_steam(case, passage) or not says(passage.text, "exposing"):
            continue
        for time in _times(passage, "exposing"):
            others = [(step, cycle) for step, cycle in cycles if step.origin.text != passage.text]
            against = [step for step, cycle in others if not _meet(time, cycle)]
            # "For at least 4 min" binds every cycle; "for 4 min" may be said of one of them.
            binds_all = time.bound in {Bound.at_least, Bound.at_most}
            if against and (binds_all or len(against) == len(others)):
                places = tuple(case.place(step) for step in against[:3])
                yield Trip(passage.place, {"time": shown(time)}, places)


@rule(
    Theme.contradictions,
    Level.concern,
    title="Two different drying times are given for the sterilizer.",
    message="The sterilizer dries for {first} here and for {second} elsewhere.",
    remedy="Get the maker's written answer: which drying time holds; until then the longer one does.",
)
def sterilizer_dryings_differ(case: Case) -> Iterator[Trip]:
    """A drying time without a cycle beside it, against those of the cycles and of other sentences."""
    told = [(p, time) for p in case.sentences if _is_of_steam(case, p) for time in _dryings(p)]
    for passage, time in told:
        others = [(p, other) for p, other in told if p.text != passage.text]
        is_alone = not _has(passage, FigureQuantity.temperature) and not says(passage.text, "cycle-kind")
        if is_alone and others and not any(_meet(time, other) for _, other in others):
            evidence = {"first": shown(time), "second": shown(others[0][1])}
            yield Trip(passage.place, evidence, (others[0][0].place,))
            return


@rule(
    Theme.contradictions,
    Level.concern,
    title="Two different times are given until the first treatment after use.",
    message="{first} is given here and {second} elsewhere for the same work straight after use.",
    remedy="Ask the maker which time holds; until then the shorter one does.",
)
def first_treatments_differ(case: Case) -> Iterator[Trip]:
    """Times until a wipe, a rinse or a flush at the table, against those of the same work elsewhere."""
    told = [(p, time) for p in case.sentences for time in _until_treated(case, p)]
    for (one, first), (other, second) in itertools.combinations(told, 2):
        acts, others = (frozenset(a[:_STEM] for a in found(p.text, "soil-acts")) for p in (one, other))
        is_same = math.isclose(first.ends("s")[1], second.ends("s")[1], rel_tol=_SAME - 1.0)
        if acts & others and one.text != other.text and not is_same:
            yield Trip(one.place, {"first": shown(first), "second": shown(second)}, (other.place,))
            return


def _until_treated(case: Case, passage: Passage) -> Iterator[Figure]:
    """The one upper bound on the time until soil is taken off that some words set without a condition."""
    is_where = case.stage_of(passage) is Stage.point_of_use or says(passage.text, "after-use")
    if not is_where or not says(passage.text, "soil-acts") or says(passage.text, "special-case"):
        return
    times = [f for f in passage.figures if f.quantity is FigureQuantity.time]
    if len(times) == 1 and times[0].bound is Bound.at_most and times[0].ends("s")[1] <= _LONGEST_FIRST_S:
        yield times[0]


@rule(
    Theme.contradictions,
    Level.concern,
    title="A cycle is offered behind words that nothing else was tested.",
    message="The text says that nothing else was tested, and offers {kind} behind it.",
    remedy="Get the maker's written answer: which cycles were validated; until then only the first are used.",
    source=book("iso-17664-1"),
)
def cycle_behind_exclusion(case: Case) -> Iterator[Trip]:
    """Cycles of a kind that stands nowhere in front of the words which rule all others out."""
    sentences = [p for p in case.sentences if _is_where_cycles_are(case, p) or _excludes_others(p.text)]
    ends = [
        n for n, p in enumerate(sentences) if says(p.text, "nothing-else") and says(p.text, "excludes-it")
    ]
    if not ends:
        return
    before = frozenset().union(*(found(p.text, "way-of-steam") for p in sentences[: ends[0] + 1]))
    for passage in sentences[ends[0] + 1 :]:
        kinds = found(passage.text, "way-of-steam") - before
        is_denied = says(passage.text, "negation") or says(passage.text, "forbidden")
        if kinds and before and not is_denied and _has(passage, FigureQuantity.time):
            yield Trip(passage.place, {"kind": min(kinds)}, (sentences[ends[0]].place,))


def _excludes_others(text: str) -> bool:
    is_tested = says(text, "tested-words") or says(text, "sterilizing")
    return is_tested and says(text, "nothing-else") and says(text, "excludes-it")


def _is_where_cycles_are(case: Case, passage: Passage) -> bool:
    stages = {case.stage_of(passage), passage.step and case.stage_of_heading(passage.step)}
    return Stage.sterilization in stages


def _doses(case: Case) -> Iterator[_Dose]:
    """Every dose of a cleaner that has no condition and is the only one of its sentence."""
    for passage in case.sentences:
        step = passage.step
        is_cleaners = says(passage.text, "detergent") or (step and step.action is Action.prepare_solution)
        is_other = any(says(passage.text, sense) for sense in _NO_AGENT) or says(passage.text, "special-case")
        if not is_cleaners or is_other or says(passage.text, "exceptional"):
            continue
        told = [(figure, ends) for figure in passage.figures if (ends := _ml_per_litre(figure))]
        if len(told) == 1:
            ((figure, (least, most)),) = told
            labels = frozenset(_LABEL.findall(passage.text)) - _NOT_LABELS
            kinds = frozenset(kind[:_STEM] for kind in found(passage.text, "agent-kind"))
            is_wash = step is not None and step.action is Action.wash
            heading = step.heading if step else None
            by_machine = is_wash or says(f"{heading or ''} {passage.text}", "machine-words")
            yield _Dose(passage, figure, least, most, labels, kinds, by_machine)


def _is_one_agent(doses: Iterable[_Dose]) -> bool:
    """Whether some doses call their agent by kinds that can all be of one."""
    pairs = itertools.combinations([dose.kinds for dose in doses if dose.kinds], 2)
    return all(one <= other or other <= one for one, other in pairs)


def _ml_per_litre(figure: Figure) -> tuple[float, float] | None:
    """Both ends of a dose in mL per litre; None for what is no dose by volume."""
    factor = {
        FigureQuantity.percent: 10.0,
        FigureQuantity.ratio: _ML_IN_A_LITRE,
        FigureQuantity.concentration: 1.0 if figure.unit == "mL/L" else 0.0,
    }.get(figure.quantity, 0.0)
    if not factor:
        return None
    low, high = figure.ends()
    return max(low, 0.0) * factor, high * factor


def _is_of_steam(case: Case, passage: Passage) -> bool:
    above = case.stage_of(dataclasses.replace(passage, step=None))
    stages = {case.stage_of(passage), above, passage.step and case.stage_of_heading(passage.step)}
    is_where = (
        Stage.sterilization in stages
        or _stands_under_a_cycle(case, passage)
        or says(passage.text, "sterilizing")
    )
    return is_where and not any(says(passage.text, s) for s in ("own-cycle", "forbidden", "ethylene-oxide"))


def _stands_under_a_cycle(case: Case, passage: Passage) -> bool:
    """Whether a row of a few words stands on the lines just below a cycle: "| Dry time | 20 minutes |"."""
    place = passage.place
    if place.line is None or len(passage.text.split()) > _WORDS_OF_A_ROW:
        return False
    return any(
        step.origin.page == place.page and 0 < place.line - step.origin.line <= _ROWS_OF_A_CYCLE
        for step in steam_steps(case)
    )


def _times(passage: Passage, sense: str) -> Iterator[Figure]:
    """Times of a sentence without a temperature that stand in a piece which says a sense."""
    if _has(passage, FigureQuantity.temperature):
        return
    for figure in passage.figures:
        piece = _piece(passage.text, figure.as_written)
        if figure.quantity is FigureQuantity.time and says(piece, sense) and not says(piece, "drying"):
            yield figure


def _dryings(passage: Passage) -> Iterator[Figure]:
    """The drying times that a sentence on the sterilizer tells."""
    taken = exposures(passage.step) if passage.step is not None else ()
    for figure in passage.figures:
        if figure.quantity is not FigureQuantity.time or figure in taken:
            continue
        is_told = says(_piece(passage.text, figure.as_written), "drying-told")
        if is_told or figure.role == FigureRole.drying:
            yield figure


def _piece(text: str, written: str) -> str:
    """The part of a sentence between commas in which some words stand."""
    sentence = sentence_with(text, written)
    return next((piece for piece in re.split(r"[,;]\s", sentence) if written and written in piece), sentence)


def _has(passage: Passage, quantity: FigureQuantity) -> bool:
    return any(figure.quantity is quantity for figure in passage.figures)


def _meet(one: Figure, other: Figure) -> bool:
    """Whether two times leave room for each other."""
    (low, high), (least, most) = one.ends("s"), other.ends("s")
    return low <= most + _SECOND and least <= high + _SECOND and not math.isnan(low)


RULES = (
    doses_differ,
    exposure_of_no_cycle,
    sterilizer_dryings_differ,
    cycle_behind_exclusion,
    first_treatments_differ,
)

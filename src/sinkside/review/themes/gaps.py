"""What only the whole text shows to be missing: an exposure, a look for soil, the sterilizing of packs."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Evidence, Level
from sinkside.instruction import Action, FigureRole, Stage, Step
from sinkside.limits import recognised_steam_temperature
from sinkside.quantities import Bound, FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import one_behind_the_other, says
from sinkside.review.lives import lives
from sinkside.review.plausible import COOLEST_STEAM_C
from sinkside.review.rule import Theme, Trip, book, rule
from sinkside.review.stated import exposures, set_temperatures, shown, steam_steps

#: A card or a table tells the time of a cycle on lines as near as this to its temperature.
_LINES_OF_A_CYCLE = 4

#: Fewer steps than this are no instruction.
_FEWEST_STEPS = 8

_NOT_EXPOSURE = frozenset({FigureRole.drying, FigureRole.time_since_use, FigureRole.life})
_WHERE_SOIL_IS_SEEN = frozenset(Stage) - {Stage.point_of_use, Stage.transport, Stage.storage}


@rule(
    Theme.completeness,
    Level.concern,
    title="A steam cycle has a temperature and no exposure.",
    message="{temperature} is set here, and nothing says for how long.",
    remedy="Get the maker's written answer: the exposure at this temperature; until then it is not run.",
    source=book("iso-17664-1"),
)
def cycle_without_exposure(case: Case) -> Iterator[Trip]:
    """Steam steps that set a steam temperature where neither they nor the lines beside them hold a time."""
    for step in steam_steps(case):
        steam = [one for one in set_temperatures(step) if _is_of_steam(one.number("°C"))]
        is_asked = step.stage is Stage.sterilization and step.action is Action.sterilize
        is_limit = any(says(words(step), one) for one in ("withstanding", "not-beyond", "negation"))
        if not steam or not is_asked or is_limit or any(one.bound is Bound.at_most for one in steam):
            continue
        beside = [one for other in case.beside(step) for one in exposures(other)]
        if not beside and not _is_timed_nearby(case, step):
            yield Trip(case.place(step), {"temperature": shown(steam[0])})


def _is_of_steam(degrees_c: float) -> bool:
    return recognised_steam_temperature(degrees_c) is not None


def _is_timed_nearby(case: Case, step: Step) -> bool:
    """Whether the lines around a step tell a time that belongs to no other temperature and no drying."""
    here = case.place(step)
    for passage in case.passages:
        line, page = passage.place.line, passage.place.page
        is_near = None not in (line, here.line) and abs((line or 0) - (here.line or 0)) <= _LINES_OF_A_CYCLE
        if passage.text == words(step) or page != here.page or not is_near:
            continue
        if _tells_a_time(passage) or says(passage.text, "deferred"):
            return True
    return says(words(step), "deferred")


def _tells_a_time(passage: Passage) -> bool:
    is_of_another = any(
        one.quantity is FigureQuantity.temperature and one.number("°C") >= COOLEST_STEAM_C
        for one in passage.figures
    )
    times = [
        one
        for one in passage.figures
        if one.quantity is FigureQuantity.time and one.role not in _NOT_EXPOSURE
    ]
    is_drying = says(passage.text, "drying") and not says(passage.text, "exposing")
    return bool(times) and not is_of_another and not is_drying


@rule(
    Theme.completeness,
    Level.concern,
    title="Nothing looks whether the device is clean.",
    message="The device is cleaned and packed, and nothing says to look whether soil is left.",
    remedy="Ask the maker where soil is looked for, with what light and lens, and what follows.",
    source=book("iso-17664-1"),
)
def cleanliness_never_looked_at(case: Case) -> Iterator[Trip]:
    """Texts that clean and pack, with no words between the two that look for soil."""
    cleans = [step for step in case.steps if step.stage is Stage.cleaning]
    ends = [step for step in case.steps if step.stage in {Stage.packaging, Stage.sterilization}]
    if len(case.steps) < _FEWEST_STEPS or not cleans or not ends:
        return
    if not any(_looks_for_soil(case, passage) for passage in case.passages):
        at_all = [step for step in case.steps if step.stage is Stage.inspection]
        near = (*(case.place(step) for step in at_all[:1]), case.place(ends[0]))
        # "Look at the insulation along its whole length": who looks at it sees soil too.
        is_seen = case.mentions("looks-by-eye", among=[p for p in case.passages if _is_checked(case, p)])
        yield Trip(case.heading_for(Stage.inspection), {}, near, doubtful=is_seen is not None)


def _is_checked(case: Case, passage: Passage) -> bool:
    stage = passage.step.stage if passage.step is not None else case.stage_of(passage)
    return stage in {Stage.inspection, Stage.maintenance}


def _looks_for_soil(case: Case, passage: Passage) -> bool:
    """Whether words look, at the right time, whether a device is clean."""
    stage = passage.step.stage if passage.step is not None else case.stage_of(passage)
    if stage is not None and stage not in _WHERE_SOIL_IS_SEEN:
        return False
    if stage is Stage.inspection and says(passage.text, "soil-looked-for"):
        return True
    looks = says(passage.text, "looks-closely")
    is_magnified = says(passage.text, "means-of-looking") and looks
    return is_magnified or (looks and says(passage.text, "soil-looked-for"))


@rule(
    Theme.completeness,
    Level.concern,
    title="The device goes into a sterile pack, and nothing sterilizes it.",
    message="The device is packed as for the sterilizer and stored, and no cycle is told.",
    remedy="Get the maker's written answer: the way of sterilizing with its figures; until then none is run.",
    source=book("iso-17664-1"),
)
def packed_and_never_sterilized(case: Case) -> Iterator[Trip]:
    """Texts that pack into pouches or wraps and speak of no sterilizing at all."""
    packs = [p for p in case.sentences if says(p.text, "sterile-pack-words") and not says(p.text, "negation")]
    at_work = [p for p in packs if case.stage_of(p) in {Stage.packaging, Stage.storage}]
    if len(case.steps) < _FEWEST_STEPS or not at_work or case.doing(Action.sterilize):
        return
    if any(_sterilizes(passage) for passage in case.sentences):
        return
    stored = [case.place(step) for step in case.steps if step.stage is Stage.storage][:1]
    yield Trip(case.heading_for(Stage.storage), {}, (at_work[-1].place, *stored))


def _sterilizes(passage: Passage) -> bool:
    """Whether words tell of a cycle, or say that there is to be none; a repair is none of either."""
    is_aside = any(says(passage.text, one) for one in ("repair-words", "as-delivered", "oil-or-grease"))
    return says(passage.text, "other-than-sterile") and not is_aside


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="A life in uses is given, and uses need not be counted.",
    message="“{words}” leaves nobody able to say when {number} uses are reached.",
    remedy="Ask the maker how uses are counted; until then the department counts them.",
    source=book("iso-17664-1"),
)
def uses_left_uncounted(case: Case) -> Iterator[Trip]:
    """Words that keep no count against the first life in uses that the text gives."""
    limited = next(iter(lives(case)), None)
    if limited is None:
        return
    for passage in case.sentences:
        uncounted = one_behind_the_other(passage.text, "denies-count", "count-denied")
        uncounted |= one_behind_the_other(passage.text, "counting-work", "needless")
        if uncounted and passage.text != limited.place.text:
            evidence: Evidence = {"words": min(uncounted), "number": limited.number}
            # "They have no fixed end; step 6 decides": the uses that were tested end nothing.
            is_open = case.mentions("no-fixed-end") is not None
            yield Trip(passage.place, evidence, (limited.place,), doubtful=is_open)


RULES = (
    cycle_without_exposure,
    cleanliness_never_looked_at,
    packed_and_never_sterilized,
    uses_left_uncounted,
)

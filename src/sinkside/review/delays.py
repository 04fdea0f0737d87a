"""The times that a text lets pass between use and cleaning."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.instruction import Action, FigureRole, Stage
from sinkside.quantities import Bound, Figure, FigureQuantity, convert
from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import says

_TAKES_SOIL_OFF = frozenset(
    {Action.wipe, Action.rinse, Action.pre_rinse, Action.flush, Action.soak, Action.brush, Action.fill}
)
_LEAVES = frozenset({Action.transport, Action.start_cleaning})
_ON_THE_WAY = frozenset({Stage.point_of_use, Stage.transport, Stage.preparation})

#: Nobody waits shorter than the first or longer than the second between use and cleaning.
_SHORTEST_S = 300.0
_LONGEST_S = 4 * 86400.0


def delays(case: Case) -> Iterator[tuple[Passage, Figure]]:
    """Every time that may pass between use and cleaning; "wipe within 10 minutes" is another."""
    for passage in case.passages:
        if passage.step is not None and passage.step.action in _TAKES_SOIL_OFF:
            continue
        if _is_treatment(case, passage) or _is_row_of_treatment(passage):
            continue
        allowed = [stated for stated in passage.figures if _is_delay(passage, stated)]
        if allowed:
            # "Preferably within half an hour and not later than 1 h": the longer one is what is allowed.
            yield passage, max(allowed, key=longest_h)


def longest_h(delay: Figure) -> float:
    """The longest time in h that a figure lets pass."""
    return convert(delay.ends()[1], delay.unit, "h")


def may_wait_till_tomorrow(passage: Passage) -> bool:
    """Whether words let a used device wait until the next day."""
    said = passage.text
    is_way = says(said, "waiting") or says(said, "cleaning-begins")
    is_denied = says(said, "negation") or says(said, "not-waiting") or says(said, "too-old")
    return says(said, "until-tomorrow") and is_way and not is_denied


def _is_row_of_treatment(passage: Passage) -> bool:
    """Whether a row that no step was made of is that of a wipe: "wipe, max. 10 min after use"."""
    if passage.step is not None or not passage.text.startswith("|") or says(passage.text, "until-cleaning"):
        return False
    return says(passage.text, "soil-acts") and says(passage.text, "after-use")


def _is_treatment(case: Case, passage: Passage) -> bool:
    """'Within 15 minutes of the last use, open the jaws' says when the work at the table is done."""
    leaves = passage.step is not None and passage.step.action in _LEAVES
    said = ("cleaning-begins", "until-cleaning", "waiting")
    return case.stage_of(passage) is Stage.point_of_use and not (
        leaves or any(says(passage.text, sense) for sense in said)
    )


def _is_delay(passage: Passage, stated: Figure) -> bool:
    if stated.quantity is not FigureQuantity.time or stated.bound not in {Bound.at_most, Bound.value}:
        return False
    if stated.role == FigureRole.time_since_use:
        return True
    said = passage.text
    is_odd = not _SHORTEST_S <= stated.ends("s")[1] <= _LONGEST_S or says(said, "only-tried")
    if stated.role is not None or is_odd:
        return False
    if says(said, "after-use"):
        return says(said, "cleaning-begins") or says(said, "waiting")
    if (passage.step is not None and passage.step.action is Action.start_cleaning) or says(
        said, "until-cleaning"
    ):
        return not says(said, "not-waiting")
    is_on_the_way = passage.step is None or passage.step.stage in _ON_THE_WAY
    is_denied = says(said, "not-waiting") or says(said, "negation")
    return is_on_the_way and says(said, "waiting") and not is_denied

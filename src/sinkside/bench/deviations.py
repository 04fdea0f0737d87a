"""A deviation: what was found where, what was done, its cause, its correction, and what that came to.

How it stands follows from what is filled in, and from nothing else; who said what, and when, stands with it.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final, Literal

from pydantic import AwareDatetime, Field

from sinkside.bench.faults import Asks, Due
from sinkside.documents import Value
from sinkside.errors import BadInput
from sinkside.instruction import STAGES, Stage

LONGEST: Final = 500
LONGEST_DELAY_MIN: Final = 7 * 24 * 60


class Standing(StrEnum):
    """How a deviation stands, by what is filled in."""

    open = "open"
    measures_taken = "measures-taken"
    corrected = "corrected"
    closed = "closed"


#: The same in words.
STANDING_WORDS: Final[dict[Standing, str]] = {
    Standing.open: "open",
    Standing.measures_taken: "measures taken",
    Standing.corrected: "corrected",
    Standing.closed: "closed",
}


class Told(Value):
    """What somebody said, who, and when."""

    words: str = Field(min_length=1, max_length=LONGEST)
    by: str
    at: AwareDatetime


class Counted(Value):
    """How often a fault was found in some days, and how many sets were packed in them."""

    found: int = Field(ge=0)
    sets: int = Field(ge=0)
    days: int = Field(ge=1)


class Effect(Value):
    """What a correction came to: whether it held, in words, and how often the fault came before and after."""

    held: bool
    told: Told
    before: Counted
    after: Counted


class Correction(Value):
    """What is to be changed so that it does not come again, who does that by when; what came of it."""

    what: Told
    who: str
    due: AwareDatetime
    done: Told | None = None
    effect: Effect | None = None


class DeviationReport(Value):
    """A deviation (`sinkside/deviation-1`).

    Attributes:
        fault: its kind.
        words: what was found, in a sentence.
        source: whether it was noticed at the bench, entered by hand, or read from a run of earlier days.
        found: the stage where it was found.
        began: the stage where it began; none while nobody said so.
        code: the set's code; `copy_id` its id, `name` what it is called; empty where it is of none.
        device: the member of the set.
        run: the run of the set; `line` the line of its list.
        load: the load; `machine` the machine, `machine_name` what that is called.
        case: the number of the case.
        delay_min: for how many minutes a case waited; none where nobody knows.
        delay_told: whether somebody said so; else it was reckoned from the case's begin and the set's issue.
        asks: what is asked for before it is closed.
        measures: what was done at once.
        cause: why it happened.
        corrections: what was changed; a later one, where the one before did not hold.
    """

    format: Literal["sinkside/deviation-1"] = "sinkside/deviation-1"
    fault: str
    words: str = Field(min_length=1, max_length=LONGEST)
    source: Literal["bench", "hand", "run"]
    found: Stage
    began: Stage | None = None
    by: str
    at: AwareDatetime
    code: str = ""
    copy_id: str = ""
    name: str = ""
    device: str = ""
    run: str = ""
    line: str = ""
    load: str = ""
    machine: str = ""
    machine_name: str = ""
    case: str = ""
    delay_min: int | None = Field(default=None, ge=0, le=LONGEST_DELAY_MIN)
    delay_told: bool = False
    asks: Asks
    measures: tuple[Told, ...] = ()
    cause: Told | None = None
    corrections: tuple[Correction, ...] = ()

    @property
    def correction(self) -> Correction | None:
        """The correction that counts; none once it was seen not to hold."""
        last = self.corrections[-1] if self.corrections else None
        return None if last is not None and last.effect is not None and not last.effect.held else last

    @property
    def standing(self) -> Standing:
        """How it stands."""
        last = self.correction
        if last is not None and last.done is not None:
            return Standing.closed if last.effect is not None else Standing.corrected
        if not self.measures:
            return Standing.open
        is_enough = self.asks == "measures" and not self.corrections
        return Standing.closed if is_enough else Standing.measures_taken


def due_of(report: DeviationReport, due: Due) -> datetime | None:
    """When its next step is due; never once it is closed."""
    last = report.correction
    if report.standing is Standing.closed:
        return None
    if report.standing is Standing.open:
        return report.at + timedelta(days=due.measures_days)
    if last is None:
        asked_since = report.corrections[-1].effect if report.corrections else None
        since = asked_since.told.at if asked_since else report.measures[-1].at
        return since + timedelta(days=due.cause_days)
    return last.done.at + timedelta(days=due.effect_days) if last.done else last.due


def next_step(report: DeviationReport) -> str:
    """What is to be done next, in words; nothing once it is closed."""
    if report.standing is Standing.closed:
        return ""
    if report.standing is Standing.open:
        return "say what was done at once"
    if report.standing is Standing.corrected:
        return "check what the correction came to"
    if report.correction is not None:
        return "carry out the correction"
    if report.corrections:
        return "find another correction: the last did not hold"
    return "name who corrects it" if report.cause else "find its cause"


def measured(report: DeviationReport, told: Told) -> DeviationReport:
    """A deviation with one more thing that was done at once.

    Raises:
        BadInput: if it is closed.
    """
    _refuse_closed(report)
    return report.model_copy(update={"measures": (*report.measures, told)})


def asked_further(report: DeviationReport) -> DeviationReport:
    """A deviation of which cause, correction and effect are asked for too; a closed one is open again by it.

    Raises:
        BadInput: if they are asked for already.
    """
    if report.asks == "effect":
        raise BadInput("its cause and correction are asked for already", resource="words")
    return report.model_copy(update={"asks": "effect"})


def found_cause(report: DeviationReport, told: Told, *, began: Stage) -> DeviationReport:
    """A deviation with its cause, and the stage where it began.

    Raises:
        BadInput: if it is corrected, or would have begun behind the stage where it was found.
    """
    if report.correction is not None and report.correction.done is not None:
        raise BadInput("it is corrected already", resource="words")
    # What theatre finds may have begun anywhere: it is the last to see a set, and the first to soil it.
    ends = report.found is not Stage.point_of_use
    if ends and STAGES.index(began) > STAGES.index(report.found):
        raise BadInput(f"it was found at {report.found.value}, before {began.value}", resource="began")
    return report.model_copy(update={"began": began, "cause": told})


def assigned(report: DeviationReport, what: Told, who: str, due: datetime) -> DeviationReport:
    """A deviation that a named person is to correct by a day.

    Raises:
        BadInput: if it is closed, nobody said what was done or why it happened, somebody has it already, or
            the day is past.
    """
    _refuse_closed(report)
    if not report.measures or report.cause is None:
        raise BadInput("say first what was done at once, and its cause", resource="what")
    if report.correction is not None:
        raise BadInput("somebody is to correct it already", resource="who")
    if due <= what.at:
        raise BadInput("that day is past; expected a later one", resource="due")
    added = Correction(what=what, who=who, due=due)
    return report.model_copy(update={"asks": "effect", "corrections": (*report.corrections, added)})


def corrected(report: DeviationReport, told: Told, *, leads: bool) -> DeviationReport:
    """A deviation whose correction is carried out, as the named person or whoever leads says.

    Raises:
        BadInput: if nobody is named yet, it is done already, or somebody else says so.
    """
    last = report.correction
    if last is None or last.done is not None:
        raise BadInput("there is no correction to carry out", resource="words")
    if told.by != last.who and not leads:
        raise BadInput("somebody else is named to correct it", resource="words")
    return _with_last(report, last.model_copy(update={"done": told}))


def effect_checked(report: DeviationReport, effect: Effect, due: Due) -> DeviationReport:
    """A deviation whose effect somebody looked at: closed where it held, else asked for another correction.

    Raises:
        BadInput: if there is nothing corrected, who looks is who corrected it, or it is too early to hold.
    """
    last = report.correction
    if last is None or last.done is None or last.effect is not None:
        raise BadInput("there is no effect to look at", resource="words")
    if effect.told.by in {last.who, last.done.by}:
        raise BadInput("somebody else than who corrected it looks at the effect", resource="words")
    ready = last.done.at + timedelta(days=due.effect_days)
    if effect.held and effect.told.at < ready:
        day = ready.date().isoformat()
        raise BadInput(f"it is too early to say that it held; expected {day} or later", resource="held")
    return _with_last(report, last.model_copy(update={"effect": effect}))


def delayed(report: DeviationReport, minutes: int) -> DeviationReport:
    """A deviation of which somebody says for how long a case waited.

    Raises:
        BadInput: if that is less than none or more than a week.
    """
    if not 0 <= minutes <= LONGEST_DELAY_MIN:
        raise BadInput(f"expected 0 to {LONGEST_DELAY_MIN} min", resource="delay_min")
    return report.model_copy(update={"delay_min": minutes, "delay_told": True})


def delay_of(begins: datetime, ready: datetime) -> int:
    """For how many whole minutes a case waited for a set; 0 where the set was there before.

    >>> from datetime import UTC, datetime
    >>> begins = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
    >>> delay_of(begins, begins.replace(hour=8)), delay_of(begins, begins.replace(hour=6))
    (60, 0)
    """
    return max(int((ready - begins).total_seconds() // 60), 0)


def _with_last(report: DeviationReport, correction: Correction) -> DeviationReport:
    return report.model_copy(update={"corrections": (*report.corrections[:-1], correction)})


def _refuse_closed(report: DeviationReport) -> None:
    if report.standing is Standing.closed:
        raise BadInput("this deviation is closed; ask for more first", resource="words")

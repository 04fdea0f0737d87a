"""What is a deviation of all that is done at a bench: by the act that noticed it, or by what a run kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final

from sinkside.bench.acts import Count, Look
from sinkside.bench.case_acts import DAMAGE_WORDS, MissingFragment
from sinkside.bench.deviations import LONGEST, delay_of
from sinkside.bench.exception_acts import EarlyImplant, ImmediateUse
from sinkside.bench.load_acts import EndLoad, LookedAgain, SoilFound, WetPack
from sinkside.bench.plan import Plan
from sinkside.bench.run import Deviation, Place
from sinkside.bench.shelf_life import MISHAP_WORDS, Mishap
from sinkside.bench.store_acts import IssueUnderException, PackMishap
from sinkside.department import Station
from sinkside.instruction import Stage

#: By these words a run keeps what was noticed; runs of earlier days have nothing else to tell it by.
LATE: Final = "cleaning began late"
NOT_ISSUED: Final = "used without being issued"
NOT_THROWN_AWAY: Final = "not thrown away in theatre"
NOT_DONE: Final = "not done in theatre"
MISSING: Final = "missing after the case"
BY_THEATRE: Final = "reported by theatre"

#: What of a run's own words says which fault it is; the first that fits.
_BY_WORDS: Final = (
    ("late-cleaning", f"{LATE}:"),
    ("not-issued", NOT_ISSUED),
    ("not-thrown-away", f"{NOT_THROWN_AWAY}:"),
    ("not-treated", f"{NOT_DONE}:"),
    ("missing-piece", MISSING),
    *(("damaged", f": {words}") for words in DAMAGE_WORDS.values()),
)

#: Where something is found, by how far its run is.
_STAGE_AT: Final[dict[Place, Stage]] = {
    Place.soiled: Stage.transport,
    Place.at_sink: Stage.cleaning,
    Place.in_washer: Stage.disinfection,
    Place.clean_side: Stage.inspection,
    Place.packing: Stage.packaging,
    Place.packed: Stage.packaging,
    Place.in_sterilizer: Stage.sterilization,
    Place.sterilized: Stage.sterilization,
    Place.in_store: Stage.storage,
    Place.issued: Stage.point_of_use,
}

_BY_MISHAP: Final[dict[Mishap, str]] = {
    Mishap.dropped: "dropped",
    Mishap.wet: "wet-pack",
    Mishap.torn: "torn-wrap",
    Mishap.seal_open: "torn-wrap",
    Mishap.opened: "torn-wrap",
    Mishap.unreadable: "label",
    Mishap.store_conditions: "store",
}

#: What follows a look that failed, in words.
_THEN: Final = {
    "reprocess-set": "the whole set went back to the sink",
    "set-aside": "it was set aside",
    "repair": "it goes to repair",
    "replace": "it was replaced",
}

_STAGE_OF: Final[dict[str, Stage]] = {
    Station.washer.value: Stage.cleaning,
    Station.sterilizer.value: Stage.sterilization,
}


@dataclass(frozen=True)
class Noticed:
    """One deviation as it was noticed.

    Attributes:
        fault: its kind.
        words: what was found, in a sentence.
        found: the stage where.
        key: what makes it the same when it is noticed again on its run; empty where each is another.
        device: the member of the set; `line` the line of the list.
        measures: what the act itself did about it.
        case: the case that the act names; `delay_min` for how long that waited.
        began: where it began, where the act leaves no doubt.
    """

    fault: str
    words: str
    found: Stage
    key: str = ""
    device: str = ""
    line: str = ""
    measures: str = ""
    case: str = ""
    delay_min: int | None = None
    began: Stage | None = None


@dataclass(frozen=True)
class Before:
    """How far the run of a set was before an act, with its round; an act may send it back.

    `begins` is when the case begins that the act gives it out to, where that case was waiting for it.
    """

    place: Place
    round: int
    begins: datetime | None = None

    @property
    def stage(self) -> Stage:
        """The stage where something of it is found."""
        return _STAGE_AT[self.place]


def of_run(plan: Plan, kept: Deviation, at: Stage = Stage.cleaning) -> Noticed:
    """A deviation that a run keeps, whether it says its kind or is of earlier days.

    Args:
        plan: what the run has to go through.
        kept: what it keeps.
        at: the stage where the run is, for what names no task.
    """
    kind = kept.fault or _by_words(kept.what)
    task = next((one for one in plan.tasks if one.id == kept.task), None)
    line = next((one for one in plan.lines if one.id == kept.line), None)
    by_theatre = kept.reason == BY_THEATRE or kind == "not-issued"
    device = line.member if line else task.member if task else _member_in(plan, kept.what)
    found = Stage.point_of_use if by_theatre else task.stage if task else at
    words = kept.what if by_theatre or kind == "late-cleaning" else f"{kept.what}: {kept.reason}"
    measures = kept.reason if kind == "late-cleaning" else ""
    began = task.stage if task and not by_theatre else None
    noticed = Noticed(kind, words[:LONGEST], found, kept.id, device, kept.line, measures)
    return replace(noticed, began=began)


def by_act(act: Any, plan: Plan | None, before: Before | None, at: datetime) -> Iterator[Noticed]:
    """The deviations that an act itself notices, beside those that it leaves on the run.

    Args:
        act: any act of a bench.
        plan: what the set has to go through; none where the act is on no set's run.
        before: how far its run was before the act.
        at: when it was done.
    """
    if isinstance(act, EndLoad):
        if not act.complete:
            yield Noticed("load-stopped", act.note or "the machine did not run to its end", Stage.cleaning)
    elif plan is not None and before is not None:
        yield from _on_run(act, plan, before)
        if before.begins is not None and (late := given_late(act.case, before.begins, at)):
            yield late


def refused_at_load(load: str, why: str) -> Noticed:
    """That a set was brought to a load that it does not go into; once for a load, however often it was tried.

    >>> refused_at_load("l-1", "Tray does not go into Washer 1. Follow its route.").key
    'f-l-1'
    """
    return Noticed("refused-load", why[:LONGEST], Stage.cleaning, f"f-{load}", measures="it did not go in")


def held_by_decision(words: str, reason: str) -> Noticed:
    """That whoever decides held a load: what its record showed, and why."""
    why = f"{words}: {reason.rstrip('.')}" if reason else words
    return Noticed("load-held", why[:LONGEST], Stage.cleaning, measures="everything that lay in it is held")


def not_as_agreed(what: str, other: str, against: Sequence[str]) -> Noticed:
    """That something came from another house, or back from there, and not as agreed."""
    words = f"{what}, from {other}: {' '.join(against)}"
    return Noticed("wrong-loan", words[:LONGEST], Stage.preparation)


def at_machine(noticed: Noticed, station: str) -> Noticed:
    """The same, found and begun where a machine of a station stands."""
    there = found_at(noticed, station)
    return replace(there, began=there.found)


def found_at(noticed: Noticed, station: str) -> Noticed:
    """The same, found where a machine of a station stands; where it began is for somebody to say."""
    return replace(noticed, found=_STAGE_OF.get(station, noticed.found))


def key_of(run: str, noticed: Noticed) -> str:
    """The id of a deviation that is the same however often it is noticed; empty where each is another."""
    return f"{run}.{noticed.key}" if noticed.key else ""


def _on_run(act: Any, plan: Plan, before: Before) -> Iterator[Noticed]:
    if isinstance(act, Look) and not act.passed:
        line = plan.line(act.line)
        kind = "soil-found" if act.then == "reprocess-set" else "damaged"
        words = f"{line.words}: {act.fault}"
        yield Noticed(kind, words, before.stage, "", line.member, line.id, _THEN.get(act.then, act.then))
    elif isinstance(act, Count):
        yield from _counted_short(act, plan, before)
    elif isinstance(act, MissingFragment):
        line = plan.line(act.line)
        words = f"{act.count} × {line.words} missing; it may be in the patient"
        told = "theatre was told at once"
        yield Noticed("missing-fragment", words, before.stage, f"m{line.id}", line.member, line.id, told)
    elif isinstance(act, SoilFound | WetPack | LookedAgain):
        yield from _of_load(act, before)
    elif isinstance(act, PackMishap):
        again = "the set goes along its whole route again"
        yield Noticed(_BY_MISHAP[act.what], MISHAP_WORDS[act.what], before.stage, measures=again)
    elif isinstance(act, IssueUnderException | EarlyImplant | ImmediateUse):
        words = f"{act.act.replace('-', ' ')}: {act.reason}"[:LONGEST]
        form = "by the form for an exception, which somebody else reviews"
        yield Noticed("exception", words, before.stage, measures=form, case=act.case)


def given_late(case: str, begins: datetime, at: datetime) -> Noticed | None:
    """That a set was given out after the case that waited for it began; nothing where it was in time."""
    minutes = delay_of(begins, at)
    if not minutes:
        return None
    words = f"given out {minutes} min after case {case} began"
    return Noticed("late-set", words, Stage.point_of_use, case=case, delay_min=minutes)


def _of_load(act: SoilFound | WetPack | LookedAgain, before: Before) -> Iterator[Noticed]:
    note = f"; {act.note}" if act.note else ""
    if isinstance(act, SoilFound):
        did = "the whole set went back, and the others of its washer load were held or told"
        yield Noticed("soil-found", f"soil found, {act.where}{note}", before.stage, measures=did)
    elif isinstance(act, WetPack):
        yield Noticed("wet-pack", f"wet {act.where}{note}", before.stage, measures="the whole load was held")
    elif not act.clean:
        words = f"soiled too, at the second look{note}"
        yield Noticed("soil-found", words, before.stage, measures="the whole set went back")


def _counted_short(act: Count, plan: Plan, before: Before) -> Iterator[Noticed]:
    for name, found in act.found.items():
        line = plan.line(name)
        if found < line.expected:
            stage = Stage.preparation if act.station is Station.sink else Stage.packaging
            words = f"{line.words}: {found} counted, {line.expected} on the list"
            instead = act.substitutes.get(name, "")
            measures = f"in its place: {instead}" if instead else ""
            key = f"c{before.round}-{line.id}"
            yield Noticed("missing-piece", words, stage, key, line.member, line.id, measures)


def _by_words(what: str) -> str:
    return next((kind for kind, words in _BY_WORDS if words in what), "not-as-written")


def _member_in(plan: Plan, what: str) -> str:
    """The member that some words name; the longest, as names may lie within names."""
    named = [one.member for one in plan.texts if one.member in what]
    return max(named, key=len, default="")

"""What one act makes of a run: the run after it, or the sentence that refuses it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from sinkside.bench.acts import (
    Deviate,
    FinishStation,
    FinishTask,
    HoldRun,
    LiftHold,
    Pause,
    SendBack,
    StartStation,
    StartTask,
    TakeUp,
    ToCleanSide,
    ToPacking,
)
from sinkside.bench.gates import in_the_way
from sinkside.bench.plan import ELSEWHERE, Plan, Task
from sinkside.bench.run import STATIONS_AT, Deviation, Done, Hold, Place, Run, Timer
from sinkside.department import Station
from sinkside.errors import BadInput

_MINUTE_S: Final = 60


@dataclass(frozen=True)
class Doer:
    """Who does it and when; `alone` says at which stations they may work on the set without anybody beside.

    `decides` says whether they may lift what holds a set.
    """

    by: str
    at: datetime
    alone: frozenset[Station] = frozenset()
    decides: bool = False


@dataclass(frozen=True)
class Outcome:
    """The run after an act, and one sentence of what was done."""

    run: Run
    said: str


def take_up(plan: Plan, run: Run, act: TakeUp, doer: Doer) -> Outcome:
    """Take a soiled set up at the sink; one that was set down there goes on where it was."""
    del act
    if run.place is Place.at_sink:
        return Outcome(run.model_copy(update={"paused": ""}), f"{plan.name} goes on at the sink.")
    moved = _moved(plan, run, Place.at_sink, doer, came_from=(Place.soiled,))
    return Outcome(moved, f"{plan.name} is at the sink.")


def to_clean_side(plan: Plan, run: Run, act: ToCleanSide, doer: Doer) -> Outcome:
    """Take a set up on the clean side: without a washer record that somebody released it stops here."""
    del act
    if run.place is Place.clean_side:
        return Outcome(run.model_copy(update={"paused": ""}), f"{plan.name} goes on at the bench.")
    moved = _moved(plan, run, Place.clean_side, doer, came_from=(Place.at_sink, Place.in_washer))
    return Outcome(moved, f"{plan.name} is on the clean side.")


def to_packing(plan: Plan, run: Run, act: ToPacking, doer: Doer) -> Outcome:
    """Take an inspected set on to packing."""
    del act
    moved = _moved(plan, run, Place.packing, doer, came_from=(Place.clean_side,))
    return Outcome(moved, f"{plan.name} goes to packing.")


def start_task(plan: Plan, run: Run, act: StartTask, doer: Doer) -> Outcome:
    """Begin a timed task; one that runs already is not begun again."""
    task = _here(plan, run, act.task)
    if not task.at_least_s:
        raise BadInput("this task is not timed; say when it is done", resource="task")
    return Outcome(_begun(run, [task], doer), f"{task.words}: {_minutes(task.at_least_s)} from now.")


def start_station(plan: Plan, run: Run, act: StartStation, doer: Doer) -> Outcome:
    """Begin every timed task of a station at once."""
    timed = [one for one in _open_here(plan, run, act.station) if one.at_least_s]
    if not timed:
        raise BadInput(f"nothing at the {act.station} is timed", resource="station")
    longest = max(one.at_least_s for one in timed)
    return Outcome(_begun(run, timed, doer), f"{len(timed)} begun; the longest takes {_minutes(longest)}.")


def finish_task(plan: Plan, run: Run, act: FinishTask, doer: Doer) -> Outcome:
    """Say that a task is done, as often and as long as its text asks for, its end seen."""
    task = _here(plan, run, act.task)
    _refuse_early(run, task, doer.at)
    if act.times < task.times:
        raise BadInput(f"{task.words}: {act.times} of at least {task.times} times", resource="times")
    if task.until and not act.seen:
        raise BadInput(f"{task.words}: confirm “{task.until}”", resource="seen")
    done = Done(at=doer.at, by=doer.by, times=act.times, seen=act.seen)
    return Outcome(_with_done(run, {task.id: done}), f"{task.words}: done.")


def finish_station(plan: Plan, run: Run, act: FinishStation, doer: Doer) -> Outcome:
    """Say that everything at a station was done as written."""
    if act.station not in doer.alone:
        raise BadInput(
            f"all at once is for whoever works alone with this set at the {act.station}; go step by step",
            resource="station",
        )
    open_here = _open_here(plan, run, act.station)
    if not open_here:
        raise BadInput(f"nothing is left to do at the {act.station}", resource="station")
    for task in open_here:
        _refuse_early(run, task, doer.at)
    done = {one.id: Done(at=doer.at, by=doer.by, times=one.times, seen=bool(one.until)) for one in open_here}
    return Outcome(_with_done(run, done), f"All {len(done)} at the {act.station} done as written.")


def deviate(plan: Plan, run: Run, act: Deviate, doer: Doer) -> Outcome:
    """Keep that something was not done as written; the task stays open."""
    if act.task:
        plan.task(act.task)
    one = Deviation(
        id=str(len(run.deviations) + 1),
        task=act.task,
        what=act.what,
        reason=act.reason,
        at=doer.at,
        by=doer.by,
    )
    kept = run.model_copy(update={"deviations": (*run.deviations, one)})
    return Outcome(kept, f"Kept: {act.what}.")


def pause(plan: Plan, run: Run, act: Pause, doer: Doer) -> Outcome:
    """Set it down here; whoever scans it next goes on."""
    del plan, doer
    return Outcome(run.model_copy(update={"paused": act.note or "set down"}), "Set down here.")


def send_back(plan: Plan, run: Run, act: SendBack, doer: Doer) -> Outcome:
    """Send the whole set back to the sink: what was done in this round counts no more."""
    if run.place in {Place.soiled, Place.issued}:
        raise BadInput(f"{plan.name} is {_words(run.place)}; there is nothing to send back", resource="code")
    return Outcome(sent_back(run, at=doer.at), f"{plan.name} goes back to the sink: {act.reason}.")


def hold(plan: Plan, run: Run, act: HoldRun, doer: Doer) -> Outcome:
    """Let it go no further."""
    return Outcome(held(run, act.why, at=doer.at, by=doer.by), f"{plan.name} is held: {act.why}.")


def lift_hold(plan: Plan, run: Run, act: LiftHold, doer: Doer) -> Outcome:
    """Let a held set go on."""
    if not doer.decides:
        raise BadInput("only whoever decides on loads lifts a hold", resource="hold")
    open_ones = {one.id for one in run.open_holds()}
    if act.hold not in open_ones:
        raise BadInput("there is no such hold on it", resource="hold")
    lifted = f"{doer.by}: {act.why}"
    holds = tuple(
        one.model_copy(update={"lifted": lifted}) if one.id == act.hold else one for one in run.holds
    )
    return Outcome(run.model_copy(update={"holds": holds}), f"{plan.name} may go on.")


#: What each act makes of a run, by its name.
ACTS: Final[dict[str, Callable[[Plan, Run, Any, Doer], Outcome]]] = {
    "take-up": take_up,
    "start-task": start_task,
    "start-station": start_station,
    "finish-task": finish_task,
    "finish-station": finish_station,
    "deviate": deviate,
    "pause": pause,
    "to-clean-side": to_clean_side,
    "to-packing": to_packing,
    "send-back": send_back,
    "hold": hold,
    "lift-hold": lift_hold,
}


def held(run: Run, why: str, *, at: datetime, by: str) -> Run:
    """A run with one more hold."""
    one = Hold(id=str(len(run.holds) + 1), why=why, at=at, by=by)
    return run.model_copy(update={"holds": (*run.holds, one)})


def sent_back(run: Run, *, at: datetime) -> Run:
    """A run that begins again at the sink, in its next round; its soil clock says now, if not earlier."""
    clean_by = min(run.clean_by, at) if run.clean_by else at
    fresh = {
        "place": Place.soiled,
        "round": run.round + 1,
        "clean_by": clean_by,
        "done": {},
        "timers": {},
        "looked": {},
        "counted": {},
        "pieces": (),
        "loads": (),
        "packed": None,
        "paused": "",
    }
    return run.model_copy(update=fresh)


def moved_to(plan: Plan, run: Run, place: Place, *, now: datetime, came_from: Iterable[Place]) -> Run:
    """A run at its next place.

    Raises:
        BadInput: if it does not come from there, or something stands in the way: what.
    """
    if run.place not in came_from:
        raise BadInput(f"{plan.name} is {_words(run.place)}; it cannot go from there", resource="code")
    obstacles = in_the_way(plan, run, place, now=now)
    if obstacles:
        raise BadInput(f"{plan.name} stops here: {'; '.join(obstacles)}", resource="code")
    return run.model_copy(update={"place": place, "paused": ""})


def _moved(plan: Plan, run: Run, place: Place, doer: Doer, *, came_from: tuple[Place, ...]) -> Run:
    return moved_to(plan, run, place, now=doer.at, came_from=came_from)


def _here(plan: Plan, run: Run, task_id: str) -> Task:
    """A task that people can do where the run is."""
    task = plan.task(task_id)
    if task.whose == "machine":
        raise BadInput(f"{task.words}: a machine does it, in a load", resource="task")
    is_elsewhere = task.station in ELSEWHERE and run.place in {Place.soiled, Place.at_sink}
    if not is_elsewhere and task.station not in STATIONS_AT.get(run.place, ()):
        raise BadInput(
            f"{task.words}: it belongs to the {task.station}, and the set is {_words(run.place)}",
            resource="task",
        )
    if run.is_done(task):
        raise BadInput(f"{task.words}: it is done already", resource="task")
    return task


def _open_here(plan: Plan, run: Run, station: Station) -> list[Task]:
    if station not in STATIONS_AT.get(run.place, ()):
        raise BadInput(f"the set is {_words(run.place)}, not at the {station}", resource="station")
    return [one for one in plan.at(station) if one.required and not run.is_done(one)]


def _begun(run: Run, tasks: Iterable[Task], doer: Doer) -> Run:
    timer = Timer(at=doer.at, by=doer.by)
    return run.model_copy(update={"timers": {one.id: timer for one in tasks} | run.timers})


def _refuse_early(run: Run, task: Task, at: datetime) -> None:
    if not task.at_least_s:
        return
    timer = run.timers.get(task.id)
    if timer is None:
        raise BadInput(f"{task.words}: begin it first, it takes {_minutes(task.at_least_s)}", resource="task")
    left = timer.at + timedelta(seconds=task.at_least_s) - at
    if left > timedelta(0):
        raise BadInput(f"{task.words}: {_minutes(left.total_seconds())} left", resource="task")


def _with_done(run: Run, done: dict[str, Done]) -> Run:
    timers = {task: timer for task, timer in run.timers.items() if task not in done}
    timed = {
        task: one.model_copy(update={"began": run.timers[task].at}) if task in run.timers else one
        for task, one in done.items()
    }
    return run.model_copy(update={"done": {**run.done, **timed}, "timers": timers})


def _minutes(seconds: float) -> str:
    """A time as a bench shows it.

    >>> _minutes(90), _minutes(600)
    ('1 min 30 s', '10 min')
    """
    minutes, rest = divmod(round(seconds), _MINUTE_S)
    told = [f"{minutes} min"] if minutes else []
    return " ".join([*told, f"{rest} s"] if rest or not told else told)


def _words(place: Place) -> str:
    """A place in words: `at the sink` for `at-sink`."""
    return {
        Place.soiled: "waiting to be cleaned",
        Place.at_sink: "at the sink",
        Place.in_washer: "in the washer",
        Place.clean_side: "on the clean side",
        Place.packing: "at packing",
        Place.packed: "packed",
        Place.in_sterilizer: "in the sterilizer",
        Place.sterilized: "out of the sterilizer, and nobody put it in store yet",
        Place.in_store: "in store",
        Place.issued: "issued",
    }[place]

"""What is done at once for a whole set at a station: every timer begun, everything done as written."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from sinkside.bench.plan import Task
from sinkside.bench.run import STATIONS_AT, Place, Run
from sinkside.department import Station
from sinkside.desk.bench.guiding import Guided
from sinkside.web.screens.bench.buttons import Acts, span
from sinkside.web.screens.bench.shown import ActShown

_CALLED: Final = {
    Station.sink: "sink",
    Station.ultrasonic: "ultrasonic bath",
    Station.bench: "bench",
    Station.packing: "packing bench",
}


def begin_all(guided: Guided, acts: Acts) -> ActShown | None:
    """Begins every timer of a station at once, for whoever works alone there."""
    run = guided.run
    if run is None:
        return None
    timed = [task for task in guided.tasks if task.at_least_s and _is_open(task, run)]
    waiting = [task for task in timed if task.id not in run.timers]
    stations = {task.station for task in waiting}
    if not waiting or len(stations) != 1 or not stations <= guided.alone:
        return None
    longest = span(max(task.at_least_s for task in waiting))
    words = f"Begin {longest}" if len(waiting) == 1 else f"Begin all {len(waiting)}, the longest {longest}"
    sent = {"act": "start-station", "station": stations.pop()}
    return acts.make(
        "begin-all", f"{words}: {waiting[0].words.lower()}", sent, command="BEGIN", style="second"
    )


def finish(guided: Guided, acts: Acts) -> ActShown | None:
    """Says that everything here was done, for whoever works alone at every station of this place."""
    run, plan = guided.run, guided.plan
    if run is None or plan is None:
        return None
    stations = [
        one for one in STATIONS_AT.get(run.place, ()) if any(_is_open(task, run) for task in plan.at(one))
    ]
    sent = [{"act": "finish-station", "station": one} for one in stations]
    if run.place is Place.clean_side and any(line.id not in run.looked for line in plan.lines):
        stations.append(Station.bench)
        sent.append({"act": "look-all"})
    if not sent or not set(stations) <= guided.alone or _waits_to_begin(guided):
        return None
    where = " and ".join(dict.fromkeys(_CALLED[one] for one in stations))
    words = (
        "All of it inspected and passed" if {"act": "look-all"} in sent else f"All of it done at the {where}"
    )
    return acts.make(
        "finish", words, *sent, effect="station", command="FINISH", style="second", when_over=True
    )


def _is_open(task: Task, run: Run) -> bool:
    return task.required and not run.is_done(task)


def _waits_to_begin(guided: Guided) -> bool:
    run = guided.run
    return run is not None and any(
        task.at_least_s and _is_open(task, run) and task.id not in run.timers for task in guided.tasks
    )


def timers_over(guided: Guided) -> datetime | None:
    """When the last timer is over that runs at this place; none where none runs."""
    run = guided.run
    if run is None:
        return None
    ends = [over(task, run) for task in guided.tasks if _is_open(task, run) and task.id in run.timers]
    return max(ends, default=None)


def over(task: Task, run: Run) -> datetime:
    """When the timer of a task that was begun is over."""
    return run.timers[task.id].at + timedelta(seconds=task.at_least_s)

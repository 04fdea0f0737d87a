"""One set at a station: its steps one by one, what is in the way, what else is here; scanned to and fro."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sinkside.aids.papers.rows import details_of
from sinkside.bench.plan import Task
from sinkside.bench.run import IN_USE, Place, Run
from sinkside.department import Station
from sinkside.desk.bench.copies import READ
from sinkside.desk.bench.guiding import Guided, OtherHere, guide
from sinkside.records import KeptCopy
from sinkside.web.asked import Asked
from sinkside.web.evidence_links import evidence_of_run
from sinkside.web.rendering import shown_moment
from sinkside.web.screens.bench.at_once import begin_all, finish, over, timers_over
from sinkside.web.screens.bench.buttons import Acts
from sinkside.web.screens.bench.counting import CountShown, PackShown, count_shown, pack_shown
from sinkside.web.screens.bench.looking import LookShown, look_shown
from sinkside.web.screens.bench.place import PLACE, screen
from sinkside.web.screens.bench.shown import (
    ActShown,
    DoneShown,
    FrameShown,
    HereShown,
    MoreShown,
    TaskShown,
    clock,
    frame,
)
from sinkside.web.screens.bench.stations import station_at
from sinkside.web.screens.teaching.steps_shown import FigureShown, figure_shown

#: How a set stands, as people say it; and where it goes next.
_STANDS: Final[dict[str, str]] = {
    IN_USE: "in use",
    Place.soiled: "waiting to be cleaned",
    Place.at_sink: "at the sink",
    Place.in_washer: "in the washer-disinfector",
    Place.clean_side: "on the clean side",
    Place.packing: "at packing",
    Place.packed: "packed",
    Place.in_sterilizer: "in the sterilizer",
    Place.sterilized: "out of the sterilizer",
    Place.in_store: "in store",
    Place.issued: "issued",
}
_NEXT: Final[dict[str, str]] = {
    Place.at_sink: "Scan it into a washer load.",
    Place.clean_side: "It goes to packing once all of it is inspected.",
    Place.packed: "Scan it into a sterilizer load.",
    Place.sterilized: "Scan it into the store.",
}
#: What is in hand at each station; a set that stands elsewhere is shown there, and not worked on.
_HANDLED_AT: Final[dict[Station, frozenset[str]]] = {
    Station.sink: frozenset({IN_USE, Place.issued, Place.soiled, Place.at_sink}),
    Station.bench: frozenset({Place.clean_side, Place.packing}),
    Station.packing: frozenset({Place.clean_side, Place.packing}),
}
_MINUTE: Final = timedelta(minutes=1)
_SHOWN_NEXT: Final = 2


@dataclass(frozen=True)
class GuidePage:
    """One set at a station.

    Attributes:
        title: what it is called.
        frame: what every page of the bench needs.
        code: its code.
        stands: how it stands, in words.
        due: what its clock says; empty where it has none.
        is_late: whether that is over.
        in_the_way: what is in the way of its next place.
        reported: what was reported of it on this run: by theatre, or done otherwise than written.
        tasks: what people do here, in order.
        left: how many of these are still to be done.
        goes_to: where it goes once they are.
        move: takes it up here; none where it is here already.
        begin_all: begins every timer at once.
        finish: says that everything here was done.
        finish_ready_at: when the last timer that it waits for is over.
        finish_about: what stands below it.
        look: the inspection, line by line.
        count: the count.
        pack: mass and label.
        more: what is rare.
        done: what was done with it, the latest first.
        here: the sets of this station.
        loads: where loads are built; empty for whoever stands elsewhere.
        codes: where the sheet of codes is.
        evidence: where what is kept of its run is; empty for whoever may not read that, and without a run.
    """

    title: str
    frame: FrameShown
    code: str
    stands: str
    due: str
    is_late: bool
    in_the_way: tuple[str, ...]
    reported: tuple[str, ...]
    tasks: tuple[TaskShown, ...]
    left: int
    goes_to: str
    move: ActShown | None
    begin_all: ActShown | None
    finish: ActShown | None
    finish_ready_at: str
    finish_about: str
    look: LookShown | None
    count: CountShown | None
    pack: PackShown | None
    more: tuple[MoreShown, ...]
    done: tuple[DoneShown, ...]
    here: tuple[HereShown, ...]
    loads: str
    codes: str
    evidence: str

    def acts(self) -> Iterator[ActShown]:
        """Every act that a code of the sheet of codes may press now, what is asked first first."""
        now = next((one for one in self.tasks if one.stands == "now"), None)
        pressed = (
            *((now.begin, now.do) if now else ()),
            self.move,
            self.begin_all,
            self.finish,
            self.count.all_here if self.count else None,
            self.pack.pack if self.pack else None,
        )
        return (one for one in pressed if one is not None)


@screen.page(f"{PLACE}/at/{{station}}/{{copy_id}}", right=READ, template="bench_guide.html")
def guide_page(asked: Asked, station: str, copy_id: str) -> GuidePage:
    """One set at a station."""
    at = station_at(station)
    guided = guide(asked.archive, asked.visitor, copy_id, at, now=asked.now)
    acts = Acts(guided.copy.code, guided.copy.name)
    works = asked.visitor.may("bench-work") and _place(guided) in _HANDLED_AT[at]
    tasks = _tasks(asked, guided, acts) if works else ()
    all_done = finish(guided, acts) if works else None
    return GuidePage(
        title=guided.copy.name,
        frame=frame(
            asked, here=asked.at(f"/bench/at/{at}/{guided.copy.id}"), station=at.value, copy=guided.copy.id
        ),
        code=guided.copy.code,
        stands=_stands(guided),
        due=_due(asked, guided),
        is_late=_is_late(asked, guided),
        in_the_way=guided.obstacles if guided.obstacles and _is_stopped(guided, at) else (),
        reported=_reported(guided),
        tasks=tasks,
        left=sum(one.stands != "done" for one in tasks),
        goes_to="" if _is_stopped(guided, at) else _NEXT.get(_place(guided), ""),
        move=_move(guided, acts, at) if works else None,
        begin_all=begin_all(guided, acts) if works else None,
        finish=all_done,
        finish_ready_at=_iso(timers_over(guided)) if all_done else "",
        finish_about="You may work alone here with everything in this set." if all_done else "",
        look=look_shown(guided, acts) if works else None,
        count=count_shown(guided, acts) if works else None,
        pack=pack_shown(asked, guided, acts) if works else None,
        more=_more(asked, guided.run, acts) if asked.visitor.may("bench-work") and guided.run else (),
        done=_done(asked, guided),
        here=tuple(here_shown(asked, one, at, guided.copy.id) for one in guided.here),
        loads=asked.at("/bench/loads") if _place(guided) in {Place.at_sink, Place.packed} else "",
        codes=asked.at("/bench/codes"),
        evidence=evidence_of_run(asked, guided.copy.run),
    )


def here_shown(asked: Asked, one: OtherHere, station: Station, open_copy: str = "") -> HereShown:
    """A set of a station's list."""
    runs = f"{one.runs}: until {shown_moment(one.ready_at, asked.visitor.zone)[11:]}" if one.ready_at else ""
    due = f"by {shown_moment(one.copy.due, asked.visitor.zone)[11:]}" if one.copy.due else ""
    return HereShown(
        name=one.copy.name,
        code=one.copy.code,
        address=asked.at(f"/bench/at/{station}/{one.copy.id}"),
        progress=f"{one.done} of {one.tasks}" if one.tasks else "",
        under=" · ".join(filter(None, (one.copy.code, "■ held" if one.is_held else "", runs, due))),
        ready_at=_iso(one.ready_at),
        left=clock(one.ready_at, asked.now),
        is_open=one.copy.id == open_copy,
    )


def stands_in_words(copy: KeptCopy) -> str:
    """How a copy stands, in words."""
    return _STANDS.get(copy.state, copy.state.replace("-", " "))


def station_of(copy: KeptCopy) -> Station:
    """The station whose page shows a copy best, for whoever stands at none."""
    if copy.state in {Place.clean_side, Place.in_washer}:
        return Station.bench
    return Station.sink if copy.state in {IN_USE, Place.soiled, Place.at_sink} else Station.packing


def _place(guided: Guided) -> str:
    return guided.run.place.value if guided.run else guided.copy.state


def _stands(guided: Guided) -> str:
    words = _STANDS.get(_place(guided)) or stands_in_words(guided.copy)
    held = "held, " if guided.run and guided.run.open_holds() else ""
    paused = f"; set down: {guided.run.paused}" if guided.run and guided.run.paused else ""
    return f"{held}{words}{paused}"


def _is_stopped(guided: Guided, at: Station) -> bool:
    """Whether what is in the way is told: not while its tasks here are being done, unless it is held."""
    run = guided.run
    if run is None:
        return False
    came_too_early = at is Station.bench and run.place in {Place.soiled, Place.at_sink, Place.in_washer}
    return bool(run.open_holds()) or came_too_early


def _reported(guided: Guided) -> tuple[str, ...]:
    told = guided.run.deviations if guided.run else ()
    return tuple(dict.fromkeys(f"{one.what} ({one.reason})" for one in told))


def _due(asked: Asked, guided: Guided) -> str:
    run = guided.run
    if run and run.clean_by and run.place is Place.soiled:
        by = shown_moment(run.clean_by, asked.visitor.zone)[11:]
        late = asked.now - run.clean_by
        if late >= _MINUTE:
            return f"Begin cleaning now: {span_of(late)} late (by {by})"
        return f"Begin cleaning by {by}"
    due = guided.copy.due
    return f"Needed by {shown_moment(due, asked.visitor.zone)}" if due else ""


def _is_late(asked: Asked, guided: Guided) -> bool:
    run = guided.run
    return bool(run and run.clean_by and run.place is Place.soiled and run.clean_by < asked.now)


def span_of(late: timedelta) -> str:
    """A stretch of time in hours and minutes.

    >>> span_of(timedelta(minutes=165)), span_of(timedelta(minutes=20))
    ('2 h 45 min', '20 min')
    """
    hours, minutes = divmod(int(late / _MINUTE), 60)
    return " ".join(
        filter(None, (f"{hours} h" if hours else "", f"{minutes} min" if minutes or not hours else ""))
    )


def _tasks(asked: Asked, guided: Guided, acts: Acts) -> tuple[TaskShown, ...]:
    run = guided.run
    if run is None:
        return ()
    left = [task for task in guided.tasks if not run.is_done(task)]
    now = _now(left, run, asked.now)
    following = [task.id for task in left if now is not None and task.id != now.id][:_SHOWN_NEXT]
    stands = {task.id: "later" for task in left} | dict.fromkeys(following, "next")
    if now is not None:
        stands[now.id] = "now"
    return tuple(_task(asked, guided, acts, task, stands[task.id]) for task in left)


def _now(left: list[Task], run: Run, now: datetime) -> Task | None:
    """What is done next: the first whose device does not soak just now; else what soaks."""
    soaking = {task.member for task in left if task.id in run.timers and over(task, run) > now}
    return next((task for task in left if task.member not in soaking), left[0] if left else None)


def _task(asked: Asked, guided: Guided, acts: Acts, task: Task, stands: str) -> TaskShown:
    run, step = guided.run, guided.steps.get(task.id)
    if run is None:
        raise ValueError("a task without a run")
    is_begun = task.id in run.timers
    plain = step.plain if step else None
    figures = tuple(figure_shown(one) for one in plain.figures) if plain and not plain.phases else ()
    return TaskShown(
        id=task.id,
        letter=task.letter,
        headline=task.words,
        member=task.member,
        details=tuple(details_of(plain)) if plain else task.figures,
        cautions=plain.cautions if plain else (),
        figures=figures or tuple(FigureShown(one, "", "") for one in task.figures if not plain),
        picture=step.drawing if step else "",
        stands=stands,
        ready_at=_iso(over(task, run)) if is_begun else "",
        left=clock(over(task, run) if is_begun else None, asked.now),
        begin=acts.begin(task) if task.at_least_s and not is_begun else None,
        do=acts.finish(task, run),
        deviate=acts.deviate(task),
    )


def _move(guided: Guided, acts: Acts, at: Station) -> ActShown | None:
    place = _place(guided)
    known = {
        (Station.sink, IN_USE): ("arrive", "It arrives used"),
        (Station.sink, Place.issued.value): ("arrive", "It arrives used"),
        (Station.sink, Place.soiled.value): ("take-up", "Take it up"),
    }.get((at, place))
    if known is None:
        return None
    act, words = known
    return acts.make("move", words, {"act": act}, command="NEXT", style="main")


def _more(asked: Asked, run: Run, acts: Acts) -> tuple[MoreShown, ...]:
    """What is rare; soil first, where it would be seen."""
    soil = (acts.soil(),) if run.place in {Place.clean_side, Place.packing} else ()
    return (*soil, *acts.rare(run, decides=asked.visitor.may("cycle-decide")))


def _done(asked: Asked, guided: Guided) -> tuple[DoneShown, ...]:
    return tuple(
        DoneShown(
            words=tap.said,
            at=shown_moment(tap.at, asked.visitor.zone)[11:],
            by=guided.names.get(tap.by, tap.by) + (", entered from paper" if tap.entered else ""),
        )
        for tap in reversed(guided.history)
    )


def _iso(moment: datetime | None) -> str:
    return moment.isoformat() if moment else ""

"""The roster: who works on which shift; agency staff with a last day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from sinkside.department import Department, Shift, Weekday
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.cover import cover_again
from sinkside.desk.departments import department_in
from sinkside.desk.people import names_in, person_subject
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.sign_off_policy import EDIT, READ
from sinkside.desk.sign_offs import end_with_their_time, somebody_here
from sinkside.errors import BadInput
from sinkside.journal import moment
from sinkside.records import Post


@dataclass(frozen=True)
class ShiftPosts:
    """A shift, whether it is on now, and who has a post on it, by name; those that ended apart."""

    shift: Shift
    is_on: bool
    posts: tuple[Post, ...]
    ended: int


@dataclass(frozen=True)
class RosterSeen:
    """Every shift with its posts, names behind pseudonyms, and who works here and has no post."""

    shifts: tuple[ShiftPosts, ...]
    names: Mapping[str, str]
    without: tuple[str, ...]


def see_roster(archive: Archive, who: Visitor, shift: str = "", *, now: datetime) -> RosterSeen:
    """Who works on which shift; of one shift alone where it is named, and then not who has no post.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        known = department_in(unit, who.department)
        shifts = [one for one in (known.shifts if known else ()) if shift in {"", one.id}]
        posts = unit.roster.on(who.department, [one.id for one in shifts]) if shifts else []
        staff = {} if shift else unit.people.working_in(who.department, now)
        names = staff | names_in(unit, {post.person for post in posts} - set(staff))
    on = {one.id for one in shifts_on(known, now)} if known else set()
    places = {
        person: place
        for place, person in enumerate(sorted(names, key=lambda one: (names[one].casefold(), one)))
    }
    posts.sort(key=lambda post: places[post.person])
    held: dict[str, list[Post]] = {one.id: [] for one in shifts}
    ended = dict.fromkeys(held, 0)
    for post in posts:
        if post.until is None or post.until > now:
            held[post.shift].append(post)
        else:
            ended[post.shift] += 1
    posted = {post.person for of_shift in held.values() for post in of_shift}
    return RosterSeen(
        shifts=tuple(ShiftPosts(one, one.id in on, tuple(held[one.id]), ended[one.id]) for one in shifts),
        names=names,
        without=tuple(sorted(set(staff) - posted, key=places.__getitem__)),
    )


def post(
    archive: Archive,
    who: Visitor,
    person: str,
    shift: str,
    *,
    last_day: date | None = None,
    now: datetime,
) -> None:
    """Put somebody on a shift, or change until when; agency staff have a last day.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such person here.
        BadInput: if there is no such shift, or the day has passed.
    """
    require(who, EDIT)
    until = _end_of(who, last_day, now) if last_day else None
    with archive.unit() as unit:
        somebody_here(unit, who.department, person, now)
        known = department_in(unit, who.department)
        if shift not in {one.id for one in (known.shifts if known else ())}:
            raise BadInput("there is no such shift here", resource="shift")
        first = shift not in unit.roster.counts(who.department)
        unit.roster.put(Post(who.department, person, shift, until))
        end_with_their_time(unit, who.department, person)
        data = {"shift": shift, **({"until": until.isoformat()} if until else {})}
        record(unit, who, "posted", person_subject(person), now=now, data=data)
        # A shift that nobody was on is new to every family's cover, not only to theirs.
        cover_again(unit, who.department, None if first else _families(unit, who, person), now=now)


def take_off(archive: Archive, who: Visitor, person: str, shift: str, *, now: datetime) -> None:
    """Take somebody off a shift.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such person here.
    """
    require(who, EDIT)
    with archive.unit() as unit:
        somebody_here(unit, who.department, person, now)
        unit.roster.remove(who.department, person, shift)
        record(unit, who, "post-ended", person_subject(person), now=now, data={"shift": shift})
        last = shift not in unit.roster.counts(who.department)
        cover_again(unit, who.department, None if last else _families(unit, who, person), now=now)


def leave_all(unit: Unit, person: str, departments: Sequence[str], *, now: datetime) -> None:
    """Take an erased person off every shift, and their sign-offs out of every list; they stay as evidence."""
    unit.standings.close(person)
    for department in departments:
        families = {one.family for one in unit.standings.of_person(department, person)}
        if families:
            cover_again(unit, department, families, now=now)


def shifts_on(known: Department, now: datetime) -> tuple[Shift, ...]:
    """The shifts that are on at a moment, by the department's own clock; one that runs overnight too.

    >>> from datetime import UTC
    >>> night = Shift(id="night", name="Night", begins="21:00", ends="06:30")
    >>> house = Department(name="House", shifts=(night,))
    >>> [len(shifts_on(house, datetime(2026, 3, 2, hour, tzinfo=UTC))) for hour in (5, 12, 22)]
    [1, 0, 1]
    """
    here = now.astimezone(ZoneInfo(known.zone))
    return tuple(one for one in known.shifts if _is_on(one, here, known))


def on_now(unit: Unit, department: str, now: datetime) -> tuple[tuple[Shift, ...], frozenset[str]]:
    """The shifts that are on, and whoever has a post on one of them."""
    known = department_in(unit, department)
    shifts = shifts_on(known, now) if known else ()
    posts = unit.roster.on(department, [one.id for one in shifts]) if shifts else []
    return shifts, frozenset(one.person for one in posts if one.until is None or one.until > now)


def people_on(unit: Unit, department: str, *, now: datetime) -> dict[str, tuple[str, ...]]:
    """Who has a post on each shift of the department, whether it is on now or not."""
    known = department_in(unit, department)
    shifts = [one.id for one in known.shifts] if known else []
    held = [one for one in unit.roster.on(department, shifts) if one.until is None or one.until > now]
    return {shift: tuple(one.person for one in held if one.shift == shift) for shift in shifts}


def _is_on(shift: Shift, here: datetime, known: Department) -> bool:
    clock, today = here.strftime("%H:%M"), here.date()
    if shift.begins < shift.ends:
        return shift.begins <= clock < shift.ends and _works(shift, today, known)
    began = today if clock >= shift.begins else today - timedelta(days=1)
    return (clock >= shift.begins or clock < shift.ends) and _works(shift, began, known)


def _works(shift: Shift, day: date, known: Department) -> bool:
    weekday = list(Weekday)[day.weekday()]
    return weekday in shift.days if shift.days else weekday not in known.closed


def _families(unit: Unit, who: Visitor, person: str) -> set[str]:
    return {one.family for one in unit.standings.of_person(who.department, person)}


def _end_of(who: Visitor, day: date, now: datetime) -> datetime:
    """The end of a day where the department is."""
    end = moment(datetime.combine(day + timedelta(days=1), time()), who.zone, fold=0)
    if end <= now:
        raise BadInput("expected a day that is not over", resource="last_day")
    return end

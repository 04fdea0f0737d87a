"""Standings: who may process what, where, how far; kept so that no list of them reads all of them."""

from __future__ import annotations

import functools
from collections.abc import Collection
from dataclasses import fields
from datetime import datetime
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    RowMapping,
    Select,
    String,
    bindparam,
    case,
    func,
    select,
    type_coerce,
    update,
)

from sinkside.archive.connection import Transaction, unindexed
from sinkside.archive.schema import NEVER, moment_text
from sinkside.archive.schema_teaching import posts, standings
from sinkside.records import Cover, Standing, WantedStandings

#: Nothing is to be done any more about what stood for somebody who was erased.
_CLOSED: Final = "closed"
_INDEPENDENT: Final = "independent"
_KEY: Final = ("department", "family", "station", "person")

#: In the order in which a standing is made of them.
_KEPT = [standings.c["due_order" if field.name == "due" else field.name] for field in fields(Standing)]
_DUE = [field.name for field in fields(Standing)].index("due")

_HERE = standings.c.department == bindparam("here")
_ORDER = (standings.c.family, standings.c.station, standings.c.person)
_ONE = select(*_KEPT).where(
    _HERE,
    standings.c.family == bindparam("of_family"),
    standings.c.station == bindparam("at_station"),
    standings.c.person == bindparam("of"),
)
# Without statistics SQLite takes a department for a choice as narrow as a person, and would read all of it.
_AT_THEIR_PLACE = unindexed(standings.c.department) == bindparam("here")
_OF_PERSON = select(*_KEPT).where(_AT_THEIR_PLACE, standings.c.person == bindparam("of"))
_IN_FAMILIES = standings.c.family.in_(bindparam("of_families", expanding=True))
_OF_FAMILIES = select(*_KEPT).where(_HERE, _IN_FAMILIES).order_by(*_ORDER)
_POST_OF = (posts.c.department == standings.c.department) & (posts.c.person == standings.c.person)
_ALONE = select(standings.c.family, standings.c.station, standings.c.person).where(
    _HERE,
    _IN_FAMILIES,
    unindexed(standings.c.state) == _INDEPENDENT,
    unindexed(standings.c.due_order) > bindparam("at"),
    select(posts.c.person)
    .where(_POST_OF, posts.c.shift.in_(bindparam("shifts", expanding=True)))
    .correlate(standings)
    .exists(),
)
_FAMILIES = select(standings.c.family, standings.c.station).where(_HERE).distinct()

#: Whoever leaves before their sign-off ends covers nothing after that.
_LEAVES = type_coerce(posts.c.until, String)
_ENDS = case((standings.c.due_order > _LEAVES, _LEAVES), else_=standings.c.due_order)


def _cover(*conditions: ColumnElement[bool]) -> Select[Any]:
    return (
        select(standings.c.family, standings.c.station, posts.c.shift, func.max(_ENDS).label("ends"))
        .join_from(standings, posts, _POST_OF)
        .where(_HERE, unindexed(standings.c.state) == _INDEPENDENT, *conditions)
        .group_by(standings.c.family, standings.c.station, posts.c.shift)
    )


_COVER, _COVER_OF = _cover(), _cover(_IN_FAMILIES)


class StandingTable:
    """Who may process what, where, how far."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def put(self, standing: Standing) -> None:
        """Add a standing, or change it."""
        values = {**vars(standing), "due_order": moment_text(standing.due) if standing.due else NEVER}
        del values["due"]
        self._do.put(standings, values, key=_KEY)

    def get(self, department: str, family: str, station: str, person: str) -> Standing | None:
        """One standing."""
        found = self._do.first(_ONE, here=department, of_family=family, at_station=station, of=person)
        return _standing(found) if found else None

    def of_person(self, department: str, person: str) -> list[Standing]:
        """A person's standings, by family and station."""
        found = [_standing(row) for row in self._do.all(_OF_PERSON, here=department, of=person)]
        return sorted(found, key=lambda one: (one.family, one.station))

    def of_family(self, department: str, families: Collection[str]) -> list[Standing]:
        """Everybody's standings for some families, by family, station and person."""
        asked = tuple(sorted(families))
        return [_standing(row) for row in self._do.all(_OF_FAMILIES, here=department, of_families=asked)]

    def alone(
        self, department: str, families: Collection[str], shifts: Collection[str], now: datetime
    ) -> set[tuple[str, str, str]]:
        """Who of some shifts may work alone now, as family, station and person."""
        asked = {"of_families": tuple(sorted(families)), "shifts": tuple(sorted(shifts))}
        found = self._do.all(_ALONE, here=department, at=moment_text(now), **asked)
        return {(row["family"], row["station"], row["person"]) for row in found}

    def due(self, department: str, wanted: WantedStandings) -> list[Standing]:
        """Standings of a state, what is due first, each person's for one family beside each other."""
        page = {"most": wanted.limit, "passed_over": wanted.offset}
        statement = _due(bool(wanted.shift), bool(wanted.persons))
        found = self._do.all(statement, **_asked(department, wanted), **page)
        return [_standing(row) for row in found]

    def count_due(self, department: str, wanted: WantedStandings) -> int:
        """How many there are, `limit` at most."""
        statement = _counted(bool(wanted.shift), bool(wanted.persons))
        return int(self._do.value(statement, **_asked(department, wanted), most=wanted.limit))

    def cover(self, department: str, families: Collection[str] | None) -> list[Cover]:
        """How long families are covered, shift by shift and station by station; all families if none."""
        if families is None:
            found = self._do.all(_COVER, here=department)
        else:
            found = self._do.all(_COVER_OF, here=department, of_families=tuple(sorted(families)))
        return [Cover(row["family"], row["station"], row["shift"], _moment(row["ends"])) for row in found]

    def families(self, department: str) -> dict[str, frozenset[str]]:
        """Every family that somebody stands in, with its stations."""
        found: dict[str, set[str]] = {}
        for row in self._do.all(_FAMILIES, here=department):
            found.setdefault(row["family"], set()).add(row["station"])
        return {family: frozenset(stations) for family, stations in found.items()}

    def close(self, person: str) -> None:
        """Take an erased person's standings out of every list of what is to be done; they stay."""
        gone = update(standings).where(standings.c.person == person)
        self._do.change(gone.values(state=_CLOSED, due_order=NEVER))


def _chosen(columns: Select[Any], *, of_shift: bool, of_persons: bool) -> Select[Any]:
    own = (standings.c.state, standings.c.due_order)
    state, due = map(unindexed, own) if of_persons else own
    conditions = [
        _AT_THEIR_PLACE if of_persons else _HERE,
        state == bindparam("of_state"),
        due >= bindparam("since"),
        due < bindparam("before"),
    ]
    if of_persons:
        conditions.append(standings.c.person.in_(bindparam("persons", expanding=True)))
    elif of_shift:
        on_it = select(posts.c.person).where(_POST_OF, posts.c.shift == bindparam("on_shift"))
        # Passing over none keeps PostgreSQL from joining a whole shift where the first lines are asked for.
        conditions.append(on_it.offset(0).correlate(standings).exists())
    return columns.where(*conditions).limit(bindparam("most"))


@functools.cache
def _due(of_shift: bool, of_persons: bool) -> Select[Any]:
    order = (standings.c.due_order, standings.c.person, standings.c.family, standings.c.station)
    chosen = _chosen(select(*_KEPT), of_shift=of_shift, of_persons=of_persons)
    return chosen.order_by(*order).offset(bindparam("passed_over"))


@functools.cache
def _counted(of_shift: bool, of_persons: bool) -> Select[Any]:
    few = _chosen(select(standings.c.station), of_shift=of_shift, of_persons=of_persons).subquery()
    return select(func.count()).select_from(few)


def _asked(department: str, wanted: WantedStandings) -> dict[str, object]:
    asked: dict[str, object] = {
        "here": department,
        "of_state": wanted.state,
        "since": moment_text(wanted.since) if wanted.since else "",
        "before": moment_text(wanted.before) if wanted.before else f"{NEVER}z",
    }
    if wanted.persons:
        asked["persons"] = tuple(wanted.persons)
    elif wanted.shift:
        asked["on_shift"] = wanted.shift
    return asked


def _standing(row: RowMapping) -> Standing:
    """A standing of what the database gives, which comes in the order in which it was asked for."""
    values: list[Any] = list(row.values())
    values[_DUE] = _moment(values[_DUE])
    return Standing(*values)


def _moment(kept: str) -> datetime | None:
    return None if kept.startswith(NEVER) else datetime.fromisoformat(kept)

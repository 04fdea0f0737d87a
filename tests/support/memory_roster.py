"""Two tables in memory: the roster and the standings."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import UTC, datetime

from sinkside.records import Cover, Post, Standing, WantedStandings

_FIRST = datetime.min.replace(tzinfo=UTC)
_LAST = datetime.max.replace(tzinfo=UTC)


class MemoryRoster:
    """Who works on which shift."""

    def __init__(self, posts: dict[tuple[str, str, str], Post]) -> None:
        self._posts = posts

    def put(self, post: Post) -> None:
        """Add a post, or change until when."""
        self._posts[post.department, post.person, post.shift] = post

    def remove(self, department: str, person: str, shift: str) -> None:
        """Take somebody off a shift."""
        self._posts.pop((department, person, shift), None)

    def of_person(self, department: str, person: str) -> list[Post]:
        """A person's posts, by shift."""
        found = [one for one in self._posts.values() if (one.department, one.person) == (department, person)]
        return sorted(found, key=lambda one: one.shift)

    def on(self, department: str, shifts: Collection[str]) -> list[Post]:
        """Every post on some shifts, ended ones included."""
        found = [one for one in self._posts.values() if one.department == department and one.shift in shifts]
        return sorted(found, key=lambda one: (one.shift, one.person))

    def counts(self, department: str) -> dict[str, int]:
        """How many posts each shift has."""
        here = [one.shift for one in self._posts.values() if one.department == department]
        return {shift: here.count(shift) for shift in set(here)}


class MemoryStandings:
    """Who may process what, where, how far."""

    def __init__(
        self,
        standings: dict[tuple[str, str, str, str], Standing],
        posts: dict[tuple[str, str, str], Post],
    ) -> None:
        self._standings = standings
        self._posts = posts

    def put(self, standing: Standing) -> None:
        """Add a standing, or change it."""
        key = (standing.department, standing.family, standing.station, standing.person)
        self._standings[key] = standing

    def get(self, department: str, family: str, station: str, person: str) -> Standing | None:
        """One standing."""
        return self._standings.get((department, family, station, person))

    def of_person(self, department: str, person: str) -> list[Standing]:
        """A person's standings, by family and station."""
        return [one for one in self._here(department) if one.person == person]

    def of_family(self, department: str, families: Collection[str]) -> list[Standing]:
        """Everybody's standings for some families, by family, station and person."""
        return [one for one in self._here(department) if one.family in families]

    def alone(
        self, department: str, families: Collection[str], shifts: Collection[str], now: datetime
    ) -> set[tuple[str, str, str]]:
        """Who of some shifts may work alone now, as family, station and person."""
        return {
            (one.family, one.station, one.person)
            for one in self.of_family(department, families)
            if one.state == "independent"
            and (one.due is None or one.due > now)
            and any((department, one.person, shift) in self._posts for shift in shifts)
        }

    def due(self, department: str, wanted: WantedStandings) -> list[Standing]:
        """Standings of a state, what is due first, each person's for one family beside each other."""
        return self._wanted(department, wanted)[wanted.offset :][: wanted.limit]

    def count_due(self, department: str, wanted: WantedStandings) -> int:
        """How many there are, `limit` at most."""
        return min(len(self._wanted(department, wanted)), wanted.limit)

    def cover(self, department: str, families: Collection[str] | None) -> list[Cover]:
        """How long families are covered, shift by shift and station by station; all families if none."""
        ends: dict[tuple[str, str, str], datetime] = {}
        for one in self._here(department):
            if one.state != "independent" or (families is not None and one.family not in families):
                continue
            for post in self._posts.values():
                if (post.department, post.person) == (department, one.person):
                    key = (one.family, one.station, post.shift)
                    end = min(one.due or _LAST, post.until or _LAST)
                    ends[key] = max(ends.get(key, _FIRST), end)
        return [Cover(*key, None if end == _LAST else end) for key, end in ends.items()]

    def families(self, department: str) -> dict[str, frozenset[str]]:
        """Every family that somebody stands in, with its stations."""
        here = self._here(department)
        return {
            family: frozenset(one.station for one in here if one.family == family)
            for family in {one.family for one in here}
        }

    def close(self, person: str) -> None:
        """Take an erased person's standings out of every list of what is to be done."""
        for key, one in list(self._standings.items()):
            if one.person == person:
                self._standings[key] = replace(one, state="closed", due=None)

    def _here(self, department: str) -> list[Standing]:
        found = [one for one in self._standings.values() if one.department == department]
        return sorted(found, key=lambda one: (one.family, one.station, one.person))

    def _wanted(self, department: str, wanted: WantedStandings) -> list[Standing]:
        found = [
            one
            for one in self._here(department)
            if one.state == wanted.state
            and (wanted.since is None or (one.due or _LAST) >= wanted.since)
            and (wanted.before is None or (one.due or _LAST) < wanted.before)
            and (not wanted.persons or one.person in wanted.persons)
            and (not wanted.shift or wanted.persons or (department, one.person, wanted.shift) in self._posts)
        ]
        return sorted(found, key=lambda one: (one.due or _LAST, one.person, one.family, one.station))

"""What surrounds every page: where one can go, who one is, how it looks."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Final, Self

from sinkside.desk.access import policy
from sinkside.web.asked import Asked, Problem
from sinkside.web.history_ways import history_of
from sinkside.web.screen import DEPARTMENT, GROUPS, SIGNED_IN, Declared

#: So many places stand in one row on a desktop.
_FIT_IN_ONE_ROW: Final = 9


@dataclass(frozen=True)
class Place:
    """A place in the head of the page; `here` marks the one that is open."""

    label: str
    address: str
    here: bool


@dataclass(frozen=True)
class PlaceGroup:
    """Places that belong together, under one word in the head of the page."""

    label: str
    places: tuple[Place, ...]

    @property
    def here(self) -> bool:
        """Whether one of them is open."""
        return any(place.here for place in self.places)

    @property
    def address(self) -> str:
        """Where its first place is."""
        return self.places[0].address


@dataclass(frozen=True)
class Shell:
    """Everything that the frame of a page needs; templates know it as `shell`.

    Attributes:
        groups: where one can go, in order; whoever has few places has each as a group of its own.
        departments: where else the person works: name and address of its Today.
        department: the name of the department, empty elsewhere.
        person: who is signed in, empty before.
        roles: what they are here, in words.
        csrf: the token that each form carries in a field of this name.
        look: auto, light or dark.
        said: one sentence of what was just done.
        problem: what was wrong with the form.
        path: the address of this page.
        request_id: for the log.
        demo: whether this is a demo workspace.
        shared_tablet: whether several people share this device.
        rights: what the person may do here.
        account: where their account is shown.
        history: where the history of the page's thing is; empty where it has none for this person.
    """

    groups: tuple[PlaceGroup, ...]
    departments: tuple[Place, ...]
    department: str
    person: str
    roles: str
    csrf: str
    look: str
    said: str
    problem: Problem
    path: str
    request_id: str
    demo: bool
    shared_tablet: bool
    rights: frozenset[str]
    account: str
    history: str

    def may(self, right: str) -> bool:
        """Whether the person has a right here, so that a page offers only what would be done."""
        return right in self.rights

    def sent_as(self, field: str, values: Collection[str], *, beside: Collection[str] = ()) -> Self:
        """The shell for one of several forms on a page that name their fields alike.

        What was wrong, and what was typed, belongs to the one that was sent: to that whose `field` said one
        of `values`, and that has all the fields of `beside`.
        """
        typed = self.problem.typed
        if (typed.get(field) or ("",))[-1] in values and all(name in typed for name in beside):
            return self
        return replace(self, problem=Problem())


def shell_of(asked: Asked, declared: Sequence[Declared]) -> Shell:
    """The frame of a page for whoever asked."""
    here = asked.present.visitor if asked.present else None
    site = asked.site
    department = site or (asked.present.departments[0] if asked.present else None)
    roles = [policy().roles[role].name for role in sorted(here.roles)] if here and site else []
    return Shell(
        groups=_groups(asked, declared, department.id) if here and department else (),
        departments=tuple(
            Place(one.name, f"/at/{one.id}/today", one == site)
            for one in (asked.present.departments if asked.present else ())
        ),
        department=site.name if site else "",
        person=asked.present.name if asked.present else "",
        roles=", ".join(roles),
        csrf=asked.form_token,
        look=asked.look,
        said=asked.said,
        problem=asked.problem,
        path=asked.path,
        request_id=asked.request_id,
        demo=asked.context.demo,
        shared_tablet=bool(asked.present and asked.present.session.shared_tablet),
        rights=here.rights if here else frozenset(),
        account="/account",
        history=history_of(asked.path, here) if here and site else "",
    )


def _groups(asked: Asked, declared: Sequence[Declared], department: str) -> tuple[PlaceGroup, ...]:
    """The places that the person may enter, in their order, grouped where they are too many for one row."""
    offered = [
        (one.nav, _place(asked, one, department))
        for one in declared
        if one.nav is not None and (one.right == SIGNED_IN or asked.visitor.may(one.right))
    ]
    offered.sort(key=lambda entry: entry[0].order)
    if len(offered) <= _FIT_IN_ONE_ROW:
        return tuple(PlaceGroup(place.label, (place,)) for _, place in offered)
    grouped = {name: tuple(place for nav, place in offered if nav.group == name) for name in GROUPS}
    return tuple(PlaceGroup(GROUPS[name], places) for name, places in grouped.items() if places)


def _place(asked: Asked, declared: Declared, department: str) -> Place:
    label = declared.nav.label if declared.nav else ""
    address = declared.path.replace("{department}", department)
    opened = asked.path == address or asked.path.startswith(f"{address}/")
    return Place(label, address, opened and declared.path.startswith(DEPARTMENT))

"""People: who works here, with which roles until when, and what they sign in with."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from pydantic import Field

from sinkside.desk import accounts, credentials, signing_in
from sinkside.desk.access import policy
from sinkside.desk.accounts import Account, NewPerson
from sinkside.errors import NotThere
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Done, Form, Nav, Option, Screen

screen = Screen("people")

MANAGE = "people-manage"


@dataclass(frozen=True)
class RoleHeld:
    """A role somebody has: its id, its name, the last day in words (empty for good), whether it has ended."""

    id: str
    name: str
    until: str
    ended: bool


@dataclass(frozen=True)
class PersonLine:
    """One person of the list: where their page is, name, roles, and what state the account is in."""

    address: str
    name: str
    sign_in: str
    roles: tuple[RoleHeld, ...]
    state: str


@dataclass(frozen=True)
class PeoplePage:
    """Everybody here, by name, and where people are added."""

    title: str
    people: tuple[PersonLine, ...]
    add: str


@dataclass(frozen=True)
class NewPersonPage:
    """The form for a new person: the roles there are, and what each is there for."""

    title: str
    meant: tuple[Option, ...]
    roles: tuple[Option, ...]
    people: str


@dataclass(frozen=True)
class PersonPage:
    """One person: roles, what they sign in with, what can be done; `roles_left` are those not yet held."""

    title: str
    address: str
    people: str
    sign_in: str
    roles: tuple[RoleHeld, ...]
    roles_left: tuple[Option, ...]
    disabled: bool
    has_password: bool
    has_pin: bool
    has_badge: bool


@dataclass(frozen=True)
class LinkMadePage:
    """A link that works once, shown once: hand it over in person or by a way you trust."""

    title: str
    name: str
    link: str
    hours: int
    people: str


class AddPerson(Form):
    """A new person and their roles; the last day of access may stay empty."""

    name: str = Field(max_length=200)
    sign_in: str = Field(max_length=200)
    roles: list[str] = Field(default=[], max_length=40)
    until: date | None = None


class GiveRole(Form):
    """A role, and the last day on which it holds."""

    role: str = Field(max_length=60)
    until: date | None = None


class TakeRole(Form):
    """The role that is taken away."""

    role: str = Field(max_length=60)


class GiveBadge(Form):
    """What a scanner reads from the badge; empty takes it away."""

    badge: str = Field("", max_length=200)


@screen.page(f"{DEPARTMENT}/people", right=MANAGE, template="people.html", nav=Nav("People", 40, "people"))
def people(asked: Asked) -> PeoplePage:
    """Everybody who has or had a role here."""
    here = accounts.people_here(asked.archive, asked.visitor, now=asked.now)
    return PeoplePage(
        title="People",
        people=tuple(
            PersonLine(
                asked.at(f"/people/{one.person}"), one.name, one.sign_in, _roles(asked, one), _state(one)
            )
            for one in here
        ),
        add=asked.at("/people/new"),
    )


@screen.page(f"{DEPARTMENT}/people/new", right=MANAGE, template="person_new.html")
def new_person(asked: Asked) -> NewPersonPage:
    """The form for a new person."""
    roles = tuple(Option(role_id, role.name) for role_id, role in policy().roles.items())
    meant = tuple(Option(role.name, role.what) for role in policy().roles.values())
    return NewPersonPage(title="Add a person", roles=roles, meant=meant, people=asked.at("/people"))


@screen.act(
    f"{DEPARTMENT}/people/new", right=MANAGE, form=AddPerson, page=new_person, template="link_made.html"
)
def add_person(asked: Asked, form: AddPerson) -> LinkMadePage:
    """Add a person; the answer has the link by which they choose a password, shown once."""
    added = accounts.add_person(
        asked.archive,
        asked.visitor,
        NewPerson(name=form.name, sign_in=form.sign_in),
        roles=form.roles,
        now=asked.now,
        until=_end_of(asked, form.until),
    )
    return _link_made(asked, form.name.strip(), added.token)


@screen.page(f"{DEPARTMENT}/people/{{person}}", right=MANAGE, template="person.html")
def person(asked: Asked, person: str) -> PersonPage:
    """One person."""
    one = _account(asked, person)
    roles = _roles(asked, one)
    held = {role.id for role in roles if not role.ended}
    return PersonPage(
        title=one.name,
        address=asked.at(f"/people/{one.person}"),
        people=asked.at("/people"),
        sign_in=one.sign_in,
        roles=roles,
        roles_left=tuple(Option(key, role.name) for key, role in policy().roles.items() if key not in held),
        disabled=one.disabled,
        has_password=one.has_password,
        has_pin=one.has_pin,
        has_badge=one.has_badge,
    )


@screen.act(f"{DEPARTMENT}/people/{{person}}/role", right=MANAGE, form=GiveRole, page=person)
def give_role(asked: Asked, form: GiveRole, person: str) -> Done:
    """Give a role, or change until when it holds."""
    accounts.grant_role(
        asked.archive,
        asked.visitor,
        person,
        role=form.role,
        now=asked.now,
        until=_end_of(asked, form.until),
    )
    return Done(go=asked.at(f"/people/{person}"), said="The role is given.")


@screen.act(f"{DEPARTMENT}/people/{{person}}/role/end", right=MANAGE, form=TakeRole, page=person)
def take_role(asked: Asked, form: TakeRole, person: str) -> Done:
    """Take a role away."""
    accounts.withdraw_role(asked.archive, asked.visitor, person, role=form.role, now=asked.now)
    return Done(go=asked.at(f"/people/{person}"), said="The role is taken away.")


@screen.act(f"{DEPARTMENT}/people/{{person}}/shut", right=MANAGE, page=person)
def shut(asked: Asked, person: str) -> Done:
    """Shut an account, which ends its sessions."""
    accounts.set_disabled(asked.archive, asked.visitor, person, disabled=True, now=asked.now)
    return Done(go=asked.at(f"/people/{person}"), said="The account is shut, and its sessions have ended.")


@screen.act(f"{DEPARTMENT}/people/{{person}}/open", right=MANAGE, page=person)
def open_again(asked: Asked, person: str) -> Done:
    """Open a shut account again."""
    accounts.set_disabled(asked.archive, asked.visitor, person, disabled=False, now=asked.now)
    return Done(go=asked.at(f"/people/{person}"), said="The account is open again.")


@screen.act(f"{DEPARTMENT}/people/{{person}}/link", right=MANAGE, page=person, template="link_made.html")
def send_link(asked: Asked, person: str) -> LinkMadePage:
    """Make a link by which somebody chooses a new password; it is shown once."""
    token = credentials.reset_link(asked.archive, asked.visitor, person, now=asked.now)
    return _link_made(asked, _account(asked, person).name, token)


@screen.act(f"{DEPARTMENT}/people/{{person}}/badge", right=MANAGE, form=GiveBadge, page=person)
def give_badge(asked: Asked, form: GiveBadge, person: str) -> Done:
    """Give somebody a badge for shared tablets, or take it away."""
    credentials.set_badge(
        asked.archive,
        asked.visitor,
        person,
        badge=form.badge,
        badge_key=asked.context.badge_key,
        now=asked.now,
    )
    said = "The badge is theirs now." if form.badge.strip() else "The badge is taken away."
    return Done(go=asked.at(f"/people/{person}"), said=said)


@screen.act(f"{DEPARTMENT}/people/{{person}}/sessions/end", right=MANAGE, page=person)
def end_sessions(asked: Asked, person: str) -> Done:
    """End every open session of somebody."""
    signing_in.end_sessions_of(asked.archive, asked.visitor, person, now=asked.now)
    return Done(go=asked.at(f"/people/{person}"), said="Their sessions have ended.")


@screen.act(f"{DEPARTMENT}/people/{{person}}/erase", right=MANAGE, page=person)
def erase(asked: Asked, person: str) -> Done:
    """Erase a person's name and account; the record book keeps a pseudonym that says nothing."""
    accounts.erase_person(asked.archive, asked.visitor, person, now=asked.now)
    return Done(go=asked.at("/people"), said="The person is erased; the record book stays whole.")


def _account(asked: Asked, person: str) -> Account:
    for one in accounts.people_here(asked.archive, asked.visitor, now=asked.now):
        if one.person == person:
            return one
    raise NotThere("there is no such person here", resource=person)


def _roles(asked: Asked, one: Account) -> tuple[RoleHeld, ...]:
    zone = ZoneInfo(asked.visitor.zone)
    return tuple(
        RoleHeld(
            id=held.role,
            name=policy().roles[held.role].name if held.role in policy().roles else held.role,
            until=(held.until.astimezone(zone) - timedelta(seconds=1)).date().isoformat()
            if held.until
            else "",
            ended=held.ended,
        )
        for held in one.roles
    )


def _state(one: Account) -> str:
    if one.disabled:
        return "shut"
    if not one.has_password:
        return "waits for a password"
    return "" if any(not held.ended for held in one.roles) else "access has ended"


def _end_of(asked: Asked, day: date | None) -> datetime | None:
    """The end of the last day, as the department's clocks have it."""
    if day is None:
        return None
    midnight = datetime.combine(day + timedelta(days=1), time(), ZoneInfo(asked.visitor.zone))
    return midnight.astimezone(UTC)


def _link_made(asked: Asked, name: str, token: str) -> LinkMadePage:
    return LinkMadePage(
        title=f"A link for {name}",
        name=name,
        link=f"{asked.address}/new-password/{token}",
        hours=round(credentials.LINK_LASTS.total_seconds() / 3600),
        people=asked.at("/people"),
    )

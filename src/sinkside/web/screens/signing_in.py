"""Signing in and out, saying again who one is on a shared tablet, and the links that work once."""

from __future__ import annotations

import re
from dataclasses import dataclass

from pydantic import Field

from sinkside.desk import accounts, credentials, signing_in
from sinkside.desk.accounts import NewPerson
from sinkside.errors import BadInput
from sinkside.records import Site
from sinkside.web.asked import Asked
from sinkside.web.screen import ANYBODY, SIGNED_IN, Done, Form, Screen, SessionClosed, SessionOpened

screen = Screen("signing-in")


@dataclass(frozen=True)
class SignInPage:
    """The form to sign in; `next` is where it leads."""

    title: str
    next: str


@dataclass(frozen=True)
class TabletPage:
    """The form by which somebody on a shared tablet says who they are."""

    title: str


@dataclass(frozen=True)
class LinkPage:
    """A form behind a link that works once; `token` is the link's."""

    title: str
    token: str


class SignIn(Form):
    """Name and password, whether others share the device, and where to go afterwards."""

    name: str = Field(max_length=200)
    password: str = Field(max_length=2000)
    shared_tablet: bool = False
    next: str = Field("/", max_length=500)


class Identify(Form):
    """A badge, or a name and a PIN."""

    badge: str = Field("", max_length=200)
    name: str = Field("", max_length=200)
    pin: str = Field("", max_length=40)


class FirstAccount(Form):
    """The first person and the first department."""

    name: str = Field(max_length=200)
    sign_in: str = Field(max_length=200)
    password: str = Field(max_length=2000)
    department_name: str = Field(min_length=1, max_length=120)
    zone: str = Field(max_length=80)


class NewPassword(Form):
    """A new password."""

    password: str = Field(max_length=2000)


@screen.page("/sign-in", right=ANYBODY, template="sign_in.html")
def sign_in(asked: Asked, *, next: str = "/") -> SignInPage:  # noqa: A002 # the usual name in an address
    """The form to sign in."""
    typed = asked.problem.typed.get("next", (next,))
    return SignInPage(title="Sign in", next=within_the_house(typed[0]))


@screen.act("/sign-in", right=ANYBODY, form=SignIn, page=sign_in)
def let_in(asked: Asked, form: SignIn) -> SessionOpened:
    """Open a session for somebody who knows their password."""
    opened = signing_in.sign_in(
        asked.archive,
        name=form.name,
        password=form.password,
        address=asked.sender,
        now=asked.now,
        shared_tablet=form.shared_tablet,
    )
    return SessionOpened(go=within_the_house(form.next), token=opened.token, shared_tablet=form.shared_tablet)


@screen.page("/tablet", right=ANYBODY, template="tablet.html")
def tablet(asked: Asked) -> TabletPage:
    """The form by which somebody on a shared tablet says who they are."""
    del asked
    return TabletPage(title="Who is there?")


@screen.act("/tablet", right=ANYBODY, form=Identify, page=tablet)
def identify(asked: Asked, form: Identify) -> SessionOpened:
    """Say by badge or PIN who is at a shared tablet now."""
    opened = signing_in.identify_again(
        asked.archive,
        token=asked.token,
        shown=signing_in.Shown(badge=form.badge, name=form.name, pin=form.pin),
        badge_key=asked.context.badge_key,
        address=asked.sender,
        now=asked.now,
    )
    return SessionOpened(go="/", token=opened.token, shared_tablet=True)


@screen.act("/sign-out", right=SIGNED_IN)
def sign_out(asked: Asked) -> SessionClosed:
    """End this session."""
    signing_in.sign_out(asked.archive, token=asked.token, now=asked.now)
    return SessionClosed(go="/sign-in", said="You are signed out.")


@screen.page("/first-account/{token}", right=ANYBODY, template="first_account.html")
def first_account(asked: Asked, token: str) -> LinkPage:
    """The form for the first account of a workspace."""
    del asked
    return LinkPage(title="Set up Sinkside", token=token)


@screen.act("/first-account/{token}", right=ANYBODY, form=FirstAccount, page=first_account)
def set_up(asked: Asked, form: FirstAccount, token: str) -> SessionOpened:
    """Make the first account and the first department, and sign in."""
    name = form.department_name.strip()
    accounts.set_up_first_account(
        asked.archive,
        token=token,
        new=NewPerson(name=form.name, sign_in=form.sign_in),
        password=form.password,
        site=Site(_id_of(name), name, form.zone.strip()),
        now=asked.now,
    )
    opened = signing_in.sign_in(
        asked.archive, name=form.sign_in, password=form.password, address=asked.sender, now=asked.now
    )
    return SessionOpened(go="/", said="Welcome. Next, add the people you work with.", token=opened.token)


@screen.page("/new-password/{token}", right=ANYBODY, template="new_password.html")
def new_password(asked: Asked, token: str) -> LinkPage:
    """The form to choose a new password."""
    del asked
    return LinkPage(title="Choose a password", token=token)


@screen.act("/new-password/{token}", right=ANYBODY, form=NewPassword, page=new_password)
def choose_password(asked: Asked, form: NewPassword, token: str) -> Done:
    """Set the password of whoever the link is for."""
    credentials.choose_password(asked.archive, token=token, password=form.password, now=asked.now)
    return Done(go="/sign-in", said="The password is set. Sign in with it.")


def within_the_house(address: str) -> str:
    """An address of ours; anything that leads elsewhere becomes the start.

    >>> within_the_house("/at/linden/today"), within_the_house("//elsewhere.example"), within_the_house("https://elsewhere.example")
    ('/at/linden/today', '/', '/')
    """
    return address if re.fullmatch(r"/(?![/\\])[\x21-\x5b\x5d-\x7e]*", address) else "/"


def _id_of(name: str) -> str:
    """An id for addresses, made of a department's name."""
    made = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:40]
    if not made:
        raise BadInput("expected a name with letters or digits", resource="department_name")
    return made

"""One's own account: password, PIN, sessions."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import Field

from sinkside.desk import credentials, signing_in
from sinkside.desk.access import policy
from sinkside.web.asked import Asked
from sinkside.web.screen import SIGNED_IN, Done, Form, Screen, SessionClosed

screen = Screen("account")


@dataclass(frozen=True)
class Place:
    """A department where one works, and where its pages begin."""

    name: str
    address: str


@dataclass(frozen=True)
class AccountPage:
    """One's own account; `form_token` is what a program sends back as X-CSRF-Token."""

    title: str
    roles: tuple[str, ...]
    departments: tuple[Place, ...]
    shared_tablet: bool
    form_token: str


class ChangePassword(Form):
    """The present password and the new one."""

    old: str = Field(max_length=2000)
    new: str = Field(max_length=2000)


class SetPin(Form):
    """The password, and a PIN for shared tablets; an empty one takes it away."""

    password: str = Field(max_length=2000)
    pin: str = Field("", max_length=40)


@screen.page("/account", right=SIGNED_IN, template="account.html")
def account(asked: Asked) -> AccountPage:
    """One's own account."""
    someone = asked.someone
    return AccountPage(
        title=someone.name,
        roles=tuple(policy().roles[role].name for role in sorted(someone.visitor.roles)),
        departments=tuple(Place(site.name, f"/at/{site.id}/today") for site in someone.departments),
        shared_tablet=someone.session.shared_tablet,
        form_token=asked.form_token,
    )


@screen.act("/account/password", right=SIGNED_IN, form=ChangePassword, page=account)
def change_password(asked: Asked, form: ChangePassword) -> SessionClosed:
    """Change one's own password, which ends every session."""
    credentials.change_password(asked.archive, asked.visitor, old=form.old, new=form.new, now=asked.now)
    return SessionClosed(go="/sign-in", said="The password is changed. Sign in with the new one.")


@screen.act("/account/pin", right=SIGNED_IN, form=SetPin, page=account)
def set_pin(asked: Asked, form: SetPin) -> Done:
    """Set one's own PIN for shared tablets."""
    credentials.set_pin(asked.archive, asked.visitor, password=form.password, pin=form.pin, now=asked.now)
    return Done(go="/account", said="The PIN is set." if form.pin else "The PIN is taken away.")


@screen.act("/account/sessions/end", right=SIGNED_IN, page=account)
def end_sessions(asked: Asked) -> SessionClosed:
    """End every session of one's own, on every device, this one too."""
    signing_in.end_my_sessions(asked.archive, asked.visitor, now=asked.now)
    return SessionClosed(go="/sign-in", said="Every session of yours has ended.")

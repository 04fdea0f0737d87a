"""From a request to who asks: the session, the department, and the one check of the right declared."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated
from urllib.parse import unquote

from fastapi import Path, Request

from sinkside.desk.access import policy, require
from sinkside.desk.signing_in import Present, present
from sinkside.errors import NotThere
from sinkside.records import Site
from sinkside.web.asked import Asked
from sinkside.web.context import Context
from sinkside.web.cookies import FORM, LOOK, LOOKS, SAID, SESSION, form_token_of
from sinkside.web.problems import NotSignedIn
from sinkside.web.screen import ANYBODY, DEPARTMENT, SIGNED_IN

Asking = Callable[..., Asked]


def asking(path: str, right: str) -> Asking:
    """What makes the `Asked` of a route, and refuses who lacks the right declared for it."""
    if path.startswith(DEPARTMENT):
        if right not in policy().rights and right != SIGNED_IN:
            raise ValueError(f"{path} declares the right '{right}', which no policy knows")
        return _in_department(right)
    if right not in {ANYBODY, SIGNED_IN}:
        raise ValueError(f"{path} is in no department; it can ask for nothing but a session")
    return _anywhere(right)


def _in_department(right: str) -> Asking:
    def ask(request: Request, department: Annotated[str, Path(description="The department's id.")]) -> Asked:
        asked = ask_of(request, department=department)
        if asked.present is None:
            raise NotSignedIn("sign in first")
        if right != SIGNED_IN:
            require(asked.visitor, right)
        return asked

    return ask


def _anywhere(right: str) -> Asking:
    def ask(request: Request) -> Asked:
        asked = ask_of(request)
        if right == SIGNED_IN and asked.present is None:
            raise NotSignedIn("sign in first")
        return asked

    return ask


def ask_of(request: Request, department: str | None = None) -> Asked:
    """Who sends a request, and where they are at work.

    Raises:
        NotThere: if they have no role in the department.
    """
    context: Context = request.app.state.context
    now = context.clock()
    token = request.cookies.get(SESSION, "")
    found = present(context.archive, token=token, now=now, department=department) if token else None
    request.state.who = found.visitor.person if found else "-"
    chosen = request.cookies.get(LOOK, "auto")
    return Asked(
        context=context,
        now=now,
        request_id=request.state.request_id,
        form_token=found.session.csrf if found else form_token_of(request.cookies.get(FORM, "")),
        path=request.url.path,
        sender=request.client.host if request.client else "unknown",
        address=context.settings.address or f"{request.url.scheme}://{request.url.netloc}",
        present=found,
        token=token,
        site=_site(found, department),
        look=chosen if chosen in LOOKS else "auto",
        said=unquote(request.cookies.get(SAID, "")),
    )


def asked_for_error(request: Request) -> Asked:
    """Who sees an error page; whoever may not know of the department is shown it outside of any."""
    _, _, rest = request.url.path.partition("/at/")
    try:
        return ask_of(request, rest.partition("/")[0] or None)
    except NotThere:
        return ask_of(request)


def _site(found: Present | None, department: str | None) -> Site | None:
    sites = found.departments if found else ()
    return next((site for site in sites if site.id == department), None)

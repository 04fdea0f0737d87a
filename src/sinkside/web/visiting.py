"""From a request to who asks: the session, the department, and the one check of the right declared."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
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
from sinkside.web.lanes import Lane, in_lane
from sinkside.web.problems import NotSignedIn
from sinkside.web.screen import ANYBODY, DEPARTMENT, SIGNED_IN

DepartmentId = Annotated[str, Path(description="The department's id.")]


@dataclass(frozen=True)
class Asking:
    """Makes the `Asked` of a route, and refuses who lacks the right declared for it."""

    path: str
    right: str

    def __post_init__(self) -> None:
        """Refuse a right that no policy knows.

        Raises:
            ValueError: if there is no such right, or none of that kind for such an address.
        """
        if self.in_department:
            if self.right not in policy().rights and self.right != SIGNED_IN:
                raise ValueError(f"{self.path} declares the right '{self.right}', which no policy knows")
        elif self.right not in {ANYBODY, SIGNED_IN}:
            raise ValueError(f"{self.path} is in no department; it can ask for nothing but a session")

    @property
    def in_department(self) -> bool:
        """Whether the address names a department."""
        return self.path.startswith(DEPARTMENT)

    def of(self, request: Request, department: str | None, context: Context | None = None) -> Asked:
        """Who asks; `context` is the application's unless told.

        Raises:
            NotSignedIn: if nobody is signed in where somebody must be.
            NotAllowed: without the right.
            NotThere: if they have no role in the department.
        """
        asked = ask_of(request, department, context)
        if self.right != ANYBODY and asked.present is None:
            raise NotSignedIn("sign in first")
        if self.right not in {ANYBODY, SIGNED_IN}:
            require(asked.visitor, self.right)
        return asked

    def dependency(self, lane: Lane) -> Callable[..., Awaitable[Asked]]:
        """The same as a dependency of the framework, for what is worked on in a lane of its own."""

        async def in_department(request: Request, department: DepartmentId) -> Asked:
            return await in_lane(request, lane, self.of, request, department)

        async def anywhere(request: Request) -> Asked:
            return await in_lane(request, lane, self.of, request, None)

        return in_department if self.in_department else anywhere


def ask_of(request: Request, department: str | None = None, context: Context | None = None) -> Asked:
    """Who sends a request, and where they are at work.

    Args:
        request: what was sent.
        department: the department that its address names, if it names one.
        context: the application's context unless told.

    Raises:
        NotThere: if they have no role in the department.
    """
    context = context or request.app.state.context
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

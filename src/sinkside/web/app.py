"""The web application, made from what it is given."""

from __future__ import annotations

import copy
import functools
import importlib
import pkgutil
from typing import Any, Final
from urllib.parse import quote

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from fastapi.routing import APIRoute
from fastapi.staticfiles import StaticFiles
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import State
from starlette.exceptions import HTTPException
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Scope

from sinkside import __version__
from sinkside.errors import SinksideError
from sinkside.web import screens
from sinkside.web.context import Context
from sinkside.web.cookies import TABLET
from sinkside.web.doorway import Doorway
from sinkside.web.error_page import error_page
from sinkside.web.fonts import font_files
from sinkside.web.health import add_health
from sinkside.web.lanes import Lanes, shared_processor
from sinkside.web.problems import ErrorAnswer, NotSignedIn, told
from sinkside.web.rendering import Rendering
from sinkside.web.routes import API, add_screen
from sinkside.web.screen import ANYBODY, Screen
from sinkside.web.visiting import ask_of, asked_for_error
from sinkside.web.ways_back import WaysBack

_NOT_THAT_WAY: Final = frozenset({404, 405})
_SEE_OTHER: Final = 303

_ABOUT: Final = (
    "Every page's data, with the same rights. The maker's current instruction and local policy govern; "
    "release by a qualified person."
)


def create_app(context: Context) -> FastAPI:
    """The application over one workspace.

    Args:
        context: where everything is kept, the settings, the clock.
    """
    app = copy.copy(_with_every_screen())
    app.state = State(dict(app.state._state))  # noqa: SLF001 # starlette has no other way to copy a state
    app.state.context = context
    app.state.lanes = Lanes()
    app.user_middleware = []
    app.add_middleware(Doorway, settings=context.settings, answer=_last_answer(app))
    return app


@functools.cache
def _with_every_screen() -> FastAPI:
    """The application with all its routes, which know no workspace: they cost a second, and are made once."""
    app = FastAPI(
        title="Sinkside",
        version=__version__,
        description=_ABOUT,
        docs_url=None,
        redoc_url=None,
        openapi_url=f"{API}/openapi.json",
        lifespan=shared_processor,
    )
    app.state.rights = {}
    found = find_screens()
    rendering = Rendering([declared for screen in found for declared in screen.declared])
    app.state.rendering = rendering
    _add_root(app)
    add_health(app)
    for screen in found:
        add_screen(app, screen, rendering)
    app.state.ways_back = WaysBack.of(found)
    # An address that is written out goes before one with a name in its place: /cycles/new is no cycle.
    app.router.routes.sort(key=lambda route: route.path.count("{") if isinstance(route, APIRoute) else 0)
    _add_static(app)
    for kind in (SinksideError, RequestValidationError, HTTPException):
        app.add_exception_handler(kind, _answer_error)
    return app


def find_screens() -> list[Screen]:
    """Every screen: each module of `sinkside.web.screens` has one, called `screen`."""
    modules = sorted(module.name for module in pkgutil.iter_modules(screens.__path__))
    return [importlib.import_module(f"{screens.__name__}.{name}").screen for name in modules]


def declared_routes(app: FastAPI) -> list[APIRoute]:
    """Every route that asks for a right."""
    return [route for route in app.routes if isinstance(route, APIRoute)]


def _add_static(app: FastAPI) -> None:
    @app.get("/static/fonts/{name}", include_in_schema=False, name="font")
    def font(name: str) -> FileResponse:
        if name not in font_files():
            raise HTTPException(404)
        return FileResponse(font_files()[name], media_type="font/otf")

    app.state.rights["GET", "/static/fonts/{name}"] = ANYBODY
    app.mount("/static", StaticFiles(packages=[("sinkside.web", "static")]), name="static")


def _add_root(app: FastAPI) -> None:
    @app.get("/", include_in_schema=False, name="root")
    def root(request: Request) -> RedirectResponse:
        asked = ask_of(request)
        if asked.present is None:
            raise NotSignedIn("sign in first")
        return RedirectResponse(f"/at/{asked.present.departments[0].id}/today", status_code=_SEE_OTHER)

    app.state.rights["GET", "/"] = ANYBODY


async def _answer_error(request: Request, error: Exception) -> Response:
    """An error as a page for people, as JSON for programs; who is not signed in is led there."""
    status, detail = told(error, request.state.request_id)
    if request.url.path.startswith((f"{API}/", "/health/")):
        return JSONResponse(ErrorAnswer(error=detail).model_dump(), status_code=status)
    if isinstance(error, NotSignedIn) and request.method == "GET":
        # A shared tablet that fell idle is not signed out: whoever is there says so by badge or PIN.
        door = "/tablet" if TABLET in request.cookies else f"/sign-in?next={quote(request.url.path)}"
        return RedirectResponse(door, status_code=_SEE_OTHER)
    if request.method == "GET" and status in _NOT_THAT_WAY:
        ways_back: WaysBack = request.app.state.ways_back
        if address := ways_back.leading(request.url.path, request.url.query):
            return RedirectResponse(address, status_code=_SEE_OTHER)
    asked = await run_in_threadpool(asked_for_error, request)
    rendering: Rendering = request.app.state.rendering
    return rendering.respond("error.html", error_page(status, detail), asked, status=status)


def _last_answer(app: FastAPI) -> Any:
    """How the doorway answers what the application could not."""

    async def answer(scope: Scope, error: Exception) -> ASGIApp:
        request = Request({**scope, "app": app})
        try:
            return await _answer_error(request, error)
        except Exception:  # noqa: BLE001 # where even the error page fails, the sentence alone is sent
            status, detail = told(error, scope["state"]["request_id"])
            return JSONResponse(ErrorAnswer(error=detail).model_dump(), status_code=status)

    return answer

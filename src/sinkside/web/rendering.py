"""Pages out of templates: each sees its page and the shell, and nothing else."""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Sequence
from datetime import datetime
from importlib import resources
from typing import Any
from zoneinfo import ZoneInfo

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.responses import HTMLResponse, Response

from sinkside.web import cookies
from sinkside.web.asked import Asked
from sinkside.web.fonts import font_files
from sinkside.web.screen import Declared
from sinkside.web.shell import shell_of


class Rendering:
    """Fills templates for one application."""

    def __init__(self, declared: Sequence[Declared]) -> None:
        self.declared = declared
        self.environment = make_environment()

    def respond(self, template: str, page: Any, asked: Asked, *, status: int = 200) -> Response:
        """A page as a response; what was said is said once."""
        shell = shell_of(asked, self.declared)
        html = self.environment.get_template(template).render(page=page, shell=shell)
        response = HTMLResponse(html, status_code=status)
        if asked.said:
            response.delete_cookie(cookies.SAID, httponly=True, secure=asked.settings.is_secure)
        if asked.present is None:
            cookies.set_form_token(response, asked.form_token, asked.settings)
        return response


def make_environment() -> Environment:
    """The templates: text is escaped, an unknown name is an error."""
    environment = Environment(
        loader=PackageLoader("sinkside.web"),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["static"] = static_address
    environment.filters["moment"] = shown_moment
    environment.filters["drawing"] = drawing
    return environment


@functools.cache
def static_address(name: str) -> str:
    """The address of a static file, with its version, so that browsers may keep it.

    >>> static_address("look.css").startswith("/static/look.css?v=")
    True
    """
    if name.startswith("fonts/"):
        return f"/static/{name}?v={len(font_files())}"
    content = resources.files("sinkside.web").joinpath("static", name).read_bytes()
    return f"/static/{name}?v={hashlib.sha256(content).hexdigest()[:12]}"


@functools.lru_cache(maxsize=4096)
def shown_moment(moment: datetime, zone: str = "UTC") -> str:
    """A moment as the department's clocks show it.

    >>> from datetime import UTC
    >>> shown_moment(datetime(2026, 7, 1, 12, 0, tzinfo=UTC), "Europe/Vienna")
    '2026-07-01 14:00'
    """
    return moment.astimezone(ZoneInfo(zone)).strftime("%Y-%m-%d %H:%M")


def drawing(svg: str) -> Markup:
    """A drawing made by our own code, element by element, as markup; never a text that somebody wrote."""
    if not svg.startswith("<svg "):
        raise ValueError("only drawings are markup")
    return Markup(svg)  # noqa: S704 # the drawing escapes every text by construction

"""A report as one HTML page that needs nothing beside itself."""

from __future__ import annotations

import functools
from collections.abc import Iterator
from importlib import resources
from typing import TYPE_CHECKING

from sinkside.aids.report.cycle_view import cycle_view
from sinkside.aids.report.device_view import device_view
from sinkside.aids.report.overview import overview
from sinkside.aids.report.request import ReportInput
from sinkside.aids.report.views import ReportPage
from sinkside.language import render

if TYPE_CHECKING:
    from jinja2 import Template


def report_html(report: ReportInput) -> str:
    """One self-contained page over devices and machine cycles; no script, nothing fetched.

    The same input gives the same page.

    Raises:
        BadInput: if the language is unknown.
    """
    language = report.language
    devices = tuple(
        device_view(device, f"device-{number}", language) for number, device in enumerate(report.devices, 1)
    )
    cycles = tuple(
        cycle_view(cycle, f"cycle-{number}", language) for number, cycle in enumerate(report.cycles, 1)
    )
    page = ReportPage(
        language=language,
        title=report.title,
        about=tuple(_about(report)),
        style=_style(),
        overview=overview(report, devices, cycles),
        devices=devices,
        cycles=cycles,
        unread=tuple((unread.trace, unread.error) for unread in report.unread),
        printed=report.printed,
        profile=report.profile,
        say=lambda english: render(english, {}, language),
    )
    return _template().render(page=page, say=page.say)


def _about(report: ReportInput) -> Iterator[str]:
    language = report.language
    if report.department and report.department != report.title:
        yield report.department
    yield render("printed {day}", {"day": report.printed}, language)
    yield render("limits profile {profile}", {"profile": report.profile}, language)


@functools.cache
def _template() -> Template:
    """The page's template; a name that it uses and is not given is an error, and every text is escaped."""
    import jinja2

    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("sinkside.aids.report", "."),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("report.html.j2")


@functools.cache
def _style() -> str:
    return resources.files("sinkside.aids.report").joinpath("report.css").read_text("utf-8")

"""The pages of the documentation that are made from the program itself, so that they cannot drift from it."""

from __future__ import annotations

from collections import defaultdict

from sinkside.cycles.simulate.page import faults_page
from sinkside.department.spreadsheet import department_page
from sinkside.language import number
from sinkside.limits import Limit, all_published, recognised_steam_temperatures
from sinkside.moisture import moisture_page
from sinkside.review import rules_page
from sinkside.settings import settings_page
from sinkside.sources import WAYS_OF_READING


def pages() -> dict[str, str]:
    """Every generated page: its name under docs/, and its text."""
    return {
        "rules/README.md": rules_page(),
        "cycles/README.md": faults_page(),
        "sources.md": sources_page(),
        "moisture.md": moisture_page(),
        "department.md": department_page(),
        "settings.md": settings_page(),
    }


def sources_page() -> str:
    """Every source that Sinkside leans on, with how it was read and which figures it gives."""
    figures: dict[tuple[str, str], list[Limit]] = defaultdict(list)
    for figure in all_published().values():
        figures[figure.source.title, figure.source.edition].append(figure)
    lines = [
        "# Sources",
        "",
        "Every published figure that Sinkside carries, under its source. How each was come by:",
        "",
        *(f"* **{key}**: {phrase}" for key, phrase in WAYS_OF_READING.items()),
        "",
        "A finding that leans on a figure that was neither read nor computed says so in its sentence.",
        "",
        f"Recognised steam temperatures: {_steam_temperatures()}.",
    ]
    for (title, edition), given in sorted(figures.items()):
        lines += ["", f"## {title}" + (f" ({edition})" if edition not in {"", "n/a"} else ""), ""]
        lines += ["| figure | what it is | where | how read |", "|---|---|---|---|"]
        lines += [
            f"| {figure.text()} | {figure.context} `{figure.id}` | {figure.source.clause or '–'} | "
            f"{figure.source.how_read} |"
            for figure in sorted(given, key=lambda one: one.id)
        ]
    return "\n".join(lines) + "\n"


def _steam_temperatures() -> str:
    return ", ".join(
        f"{number(steam.temperature_c)} °C ({number(steam.label_f)} °F)"
        for steam in recognised_steam_temperatures()
    )

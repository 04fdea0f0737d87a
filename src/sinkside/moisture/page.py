"""The page of the documentation on heat and moisture, made from the tables that the estimate reads."""

from __future__ import annotations

from importlib import resources

from sinkside.moisture.document import NOT_IN_THE_MODEL, STANDS
from sinkside.moisture.tables import assumptions, formulas, materials
from sinkside.sources import Source


def moisture_page() -> str:
    """What the estimate reckons, assumes and leaves out, with every formula, figure and source."""
    lines = [
        _head(),
        "## Formulas",
        "",
        "| what | formula | where it holds | source |",
        "|---|---|---|---|",
        *(
            f"| {one.title} `{one.key}` | {one.says} | {one.range} | {_cited(one.source)} |"
            for one in formulas().values()
        ),
        "",
        "## Materials",
        "",
        "One value each, at room temperature; at 134 °C they are some 5 to 15 % higher.",
        "",
        "| material | J/(kg·K) | W/(m·K) | kg/m³ | source |",
        "|---|---|---|---|---|",
        *(
            f"| {one.title} `{one.key}` | {one.heat_j_kgk:g} | {one.conductivity_w_mk:g} | "
            f"{one.density_kg_m3:g} | {_cited(one.source)} |"
            for one in materials().values()
        ),
        "",
        "## Assumptions",
        "",
        "All of them common practice without a source; each may be replaced with a reason.",
        "",
        "| assumption | from | to | unit | what it is |",
        "|---|---|---|---|---|",
        *(
            f"| `{one.key}` | {one.low:g} | {one.high:g} | {one.unit.removeprefix('1')} | {one.context} |"
            for one in assumptions().values()
        ),
    ]
    return "\n".join(lines) + "\n"


def _head() -> str:
    """What stands before the tables, with what every answer says of itself."""
    text = resources.files("sinkside.moisture").joinpath("page_head.md").read_text(encoding="utf-8")
    left_out = "\n".join(f"* {line}" for line in NOT_IN_THE_MODEL)
    return text.replace("@STANDS@", STANDS).replace("@NOT_IN_THE_MODEL@", left_out)


def _cited(source: Source) -> str:
    return f"{source} ({source.how_read_phrase})"

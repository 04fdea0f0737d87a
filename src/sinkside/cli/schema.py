"""`sinkside schema`: the JSON Schema of a document."""

from __future__ import annotations

import json
from typing import Annotated

import typer

from sinkside.cli.output import show


def schema(
    name: Annotated[
        str,
        typer.Argument(
            metavar="NAME", help="instruction, department, program, set, route, set-route, findings, ..."
        ),
    ],
) -> None:
    """Print the JSON Schema of a document that Sinkside reads or writes."""
    from sinkside.desk import schemas

    show(json.dumps(schemas.schema(name), ensure_ascii=False, indent=2))

"""Health: whether the process lives, and whether it can do its work."""

from __future__ import annotations

from typing import Literal

from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse
from pydantic import BaseModel

from sinkside.errors import SinksideError
from sinkside.web.context import Context
from sinkside.web.screen import ANYBODY


class Health(BaseModel):
    """`ok`, or what is missing."""

    status: Literal["ok", "not-ready"]


def add_health(app: FastAPI) -> None:
    """Add both addresses; anybody may ask, and learns nothing else."""

    @app.get("/health/live", tags=["health"], operation_id="health-live", response_model=Health)
    async def live() -> Health:
        """Say that the process lives, without waiting for a turn among those who work."""
        return Health(status="ok")

    @app.get(
        "/health/ready",
        tags=["health"],
        operation_id="health-ready",
        response_model=Health,
        responses={503: {"model": Health, "description": "The archive does not answer."}},
    )
    def ready(request: Request) -> JSONResponse:
        """Say whether the archive answers."""
        context: Context = request.app.state.context
        try:
            with context.archive.unit(writes=False) as unit:
                unit.sites.all()
        except (SinksideError, OSError):
            return JSONResponse({"status": "not-ready"}, status_code=503)
        return JSONResponse({"status": "ok"})

    for path in ("/health/live", "/health/ready"):
        app.state.rights["GET", path] = ANYBODY

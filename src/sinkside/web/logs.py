"""Logs: one JSON object a line, with the request's id and never a name."""

from __future__ import annotations

import json
import logging
import sys
import traceback
from datetime import UTC, datetime
from typing import Any, Final

from starlette.types import Scope

_LOG: Final = logging.getLogger("sinkside.web")


class JsonLines(logging.Formatter):
    """A log record as one line of JSON."""

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        line: dict[str, Any] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
            **getattr(record, "told", {}),
        }
        return json.dumps(line, ensure_ascii=False)


def set_up_logs(level: str) -> None:
    """Write logs to standard error from now on."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonLines())
    for name in ("sinkside", "uvicorn"):
        logger = logging.getLogger(name)
        logger.handlers, logger.propagate = [handler], False
        logger.setLevel(level.upper())
    logging.getLogger("uvicorn.access").disabled = True


def log_request(scope: Scope, *, status: int, request_id: str, took_s: float) -> None:
    """A line for a request: the route, not the address, because an address may hold what somebody typed."""
    route = scope.get("route")
    told = {
        "request": request_id,
        "method": scope["method"],
        "route": getattr(route, "path", "-"),
        "status": status,
        "took_ms": round(took_s * 1000, 1),
        "who": scope.get("state", {}).get("who", "-"),
    }
    _LOG.info("request", extra={"told": told})


def log_crash(request_id: str, error: Exception) -> None:
    """A line for a crash: the kind of error and where, not its words, which may hold what somebody typed."""
    frames = [
        f"{frame.filename}:{frame.lineno} {frame.name}" for frame in traceback.extract_tb(error.__traceback__)
    ]
    told = {"request": request_id, "error": type(error).__name__, "frames": frames[-12:]}
    _LOG.error("crash", extra={"told": told})

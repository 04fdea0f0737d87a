"""The web: one file per screen, each parsing what was asked, calling the desk and filling a page."""

from sinkside.web.app import create_app
from sinkside.web.context import Context

__all__ = ["Context", "create_app"]

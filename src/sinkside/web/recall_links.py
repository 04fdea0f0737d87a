"""Links from where a failure is seen to what it reaches, with cause and time filled in."""

from __future__ import annotations

from urllib.parse import urlencode

from sinkside.bench.recall import CauseKind
from sinkside.desk.recall.rights import OPEN
from sinkside.web.asked import Asked


def recall_link(asked: Asked, kind: CauseKind, of: str, **more: str) -> str:
    """Where one looks at what a failure reaches; empty for whoever opens no recall.

    Args:
        asked: the request.
        kind: what kind of cause.
        of: the machine, water point, person, text or chemical.
        more: fields of the form there, such as `words`, `since`, `cycle`, `lot`.
    """
    if not asked.visitor.may(OPEN):
        return ""
    said = {name: text for name, text in more.items() if text}
    return asked.at(f"/recalls/new?{urlencode({'kind': kind.value, 'of': of, **said})}")

"""Codes as people type or scan them into a field of a longer form."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sinkside.errors import BadInput, NotThere


@contextmanager
def codes_at_fields(field: str = "code") -> Iterator[None]:
    """Say at its field that nothing here has a code: a page of its own would lose what else was typed.

    Raises:
        BadInput: where nothing has the code. What else is not there stays as it is.
    """
    try:
        yield
    except NotThere as error:
        if error.resource != field:
            raise
        raise BadInput(error.message, resource=field) from error

"""The API keeps its own OpenAPI document, whatever is thrown at it (schemathesis, a general tool)."""

from __future__ import annotations

from typing import Any, Final

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis import Case
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from sinkside.demo.house import VALLEY, fill_house
from support.memory_archive import MemoryArchive
from web.conftest import NOW, House, make_house


def _house() -> House:
    archive = MemoryArchive()
    fill_house(archive, now=NOW)
    return make_house(archive)


SIGN_INS: Final = ("administrator", "lead")
HOUSE: Final = _house()
schema = schemathesis.openapi.from_asgi("/api/openapi.json", HOUSE.app)


#: Not to find again what was found before, but to find what is new.
_MADE_UP: Final = settings(
    deadline=None,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)


@schema.parametrize()
@settings(_MADE_UP, max_examples=3, derandomize=True)
def test_no_answer_leaves_the_schema(case: Case[Any]) -> None:
    """No request that the schema allows gets a 5xx, or an answer that the schema does not know."""
    for sign_in in SIGN_INS:
        _send(case, sign_in)


@pytest.mark.long
@schema.parametrize()
@settings(_MADE_UP, max_examples=40)
def test_no_answer_leaves_the_schema_in_a_long_hunt(case: Case[Any]) -> None:
    """The same of requests that nobody has tried before, many times as many."""
    for sign_in in SIGN_INS:
        _send(case, sign_in)


def _send(case: Case[Any], sign_in: str) -> None:
    """Send a made-up request in somebody's name, in their own department, so that it gets past the door."""
    if "department" in case.path_parameters:
        case.path_parameters["department"] = VALLEY.id
    caller = HOUSE.caller(sign_in)
    answer = case.call(headers={"X-CSRF-Token": caller.csrf}, cookies=dict(caller.cookies))
    checks = [
        not_a_server_error,
        status_code_conformance,
        content_type_conformance,
        response_schema_conformance,
    ]
    case.validate_response(answer, checks=checks)

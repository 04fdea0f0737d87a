"""What every answer has, what is refused at the door, and what the log says."""

from __future__ import annotations

import json
import logging
from collections.abc import Iterator

import pytest

from sinkside.errors import (
    BadInput,
    Conflict,
    NotAllowed,
    NotForTheFloor,
    NotThere,
    OutsideValidity,
    SinksideError,
    UnreadableFile,
)
from sinkside.settings import Settings
from sinkside.web.logs import JsonLines
from sinkside.web.problems import NotSignedIn, TooLarge, told
from support.memory_archive import MemoryArchive
from web.conftest import House, make_house


def test_every_answer_has_its_headers(house: House) -> None:
    """Pages, static files, JSON, errors and redirects all carry policy, nosniff, frame and referrer rules."""
    for path in ("/sign-in", "/static/look.css", "/health/live", "/nowhere", "/"):
        headers = house.caller().get(path).headers
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"
        assert len(headers["x-request-id"]) == 16


def test_pages_are_not_kept_by_browsers_and_static_files_are(house: House) -> None:
    """What belongs to a person is not stored; a versioned file is stored for good."""
    assert house.caller().get("/sign-in").headers["cache-control"] == "no-store"
    assert "immutable" in house.caller().get("/static/look.css?v=1").headers["cache-control"]
    font = house.caller().get("/static/fonts/SourceSansPro-Bold.otf?v=1")
    assert font.status_code == 200
    assert house.caller().get("/static/fonts/..%2F__init__.py").status_code == 404


def test_cookies_are_out_of_reach_and_secure_behind_https() -> None:
    """The session's cookie is HttpOnly and SameSite, and Secure once people come by https."""
    from sinkside.desk import accounts

    archive = MemoryArchive()
    house = make_house(archive, Settings(address="https://house.example"))
    from web.conftest import NOW

    token = accounts.first_account_link(archive, now=NOW)
    caller = house.caller()
    answer = caller.send(
        f"/api/first-account/{token}",
        {
            "name": "Ada",
            "sign_in": "ada",
            "password": "four words are enough",
            "department_name": "Linden",
            "zone": "Europe/Vienna",
        },
    )
    assert answer.status_code == 200, answer.text
    cookie = next(line for line in answer.headers.get_list("set-cookie") if "sinkside_session" in line)
    assert "HttpOnly" in cookie
    assert "Secure" in cookie
    assert "SameSite=lax" in cookie
    assert "max-age" in answer.headers["strict-transport-security"]


@pytest.mark.parametrize("headers", [{}, {"Origin": "https://elsewhere.example"}])
def test_a_form_of_somebody_else_is_refused(fresh: House, headers: dict[str, str]) -> None:
    """Without the token of the session, or from another site, nothing is done."""
    caller = fresh.caller("administrator")
    if not headers:
        caller.csrf = "guessed"
    answer = caller.post("/sign-out", headers=headers)
    assert answer.status_code == 403
    assert caller.send("/api/look", {"look": "dark"}).status_code == (403 if not headers else 200)
    assert fresh.caller("administrator").get("/account").status_code == 200


def test_what_is_too_large_is_refused_before_it_is_read(house: House) -> None:
    """A stated size of 500 MB, and a body that grows past the limit unstated, both get one sentence."""
    stated = house.caller("lead").ask(
        "POST",
        "/sign-out",
        content=b"x",
        headers={"Content-Length": "500000000", "Content-Type": "multipart/form-data; boundary=x"},
    )
    assert stated.status_code == 413
    assert "at most 50 MB" in stated.text

    async def endless() -> object:
        for _ in range(30):
            yield b"x" * 100_000

    grown = house.caller("lead").ask(
        "POST",
        "/api/look",
        content=endless(),
        headers={"Content-Type": "application/json"},
    )
    assert grown.status_code == 413
    assert grown.json()["error"]["what"] == "too-large"
    assert "at most 1 MB" in grown.json()["error"]["sentence"]


@pytest.mark.parametrize(
    ("error", "status"),
    [
        (NotSignedIn("x"), 401),
        (NotAllowed("x"), 403),
        (NotThere("x"), 404),
        (Conflict("x"), 409),
        (NotForTheFloor("x"), 409),
        (TooLarge("x"), 413),
        (BadInput("x"), 422),
        (UnreadableFile("x"), 422),
        (OutsideValidity("x"), 422),
        (SinksideError("x"), 500),
        (RuntimeError("a secret"), 500),
    ],
)
def test_errors_become_statuses_in_one_place(error: Exception, status: int) -> None:
    """Each kind of error has its status, and a crash tells nothing but the request's id."""
    found, detail = told(error, "00ff")
    assert found == status
    assert detail.request == "00ff"
    assert "secret" not in detail.sentence
    assert detail.sentence.endswith(".")


@pytest.fixture
def log() -> Iterator[list[str]]:
    """The lines that are logged."""
    lines: list[str] = []
    handler = logging.Handler()
    handler.emit = lambda record: lines.append(JsonLines().format(record))  # type: ignore[method-assign]
    logger = logging.getLogger("sinkside.web")
    logger.addHandler(handler)
    logger.setLevel("INFO")
    yield lines
    logger.removeHandler(handler)


def test_a_crash_says_its_request_and_nothing_else(
    fresh: House, log: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the archive falls over, people get the request's id, and the log the place without the words."""

    def fall(*_: object, **__: object) -> object:
        raise RuntimeError("Ilka Sommerfeld’s secret")

    caller = fresh.caller("administrator")
    monkeypatch.setattr("sinkside.desk.accounts.people_here", fall)
    page, answer = caller.get("/at/valley/people"), caller.get("/api/at/valley/people")
    assert page.status_code == answer.status_code == 500
    assert page.headers["x-request-id"] in page.text
    assert answer.json()["error"]["request"] == answer.headers["x-request-id"]
    assert "secret" not in page.text + answer.text
    crashes = [json.loads(line) for line in log if '"crash"' in line]
    assert crashes[0]["request"] == page.headers["x-request-id"]
    assert crashes[0]["error"] == "RuntimeError"
    assert "secret" not in "".join(log)


def test_the_log_has_routes_and_no_names(fresh: House, log: list[str]) -> None:
    """A request is logged by its route, pseudonym and status, without what somebody typed."""
    fresh.caller("administrator").get("/at/valley/record?text=Ilka")
    fresh.caller("administrator").get("/nowhere/Sommerfeld")
    lines = [json.loads(line) for line in log]
    assert lines[0]["route"] == "/at/{department}/record"
    assert lines[0]["status"] == 200
    assert lines[0]["who"].startswith("p-")
    assert not any(name in "".join(log) for name in ("Ilka", "Sommerfeld"))


def test_health_says_whether_the_archive_answers(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """The process lives either way; it is ready only while the archive answers."""
    assert house.caller().get("/health/ready").json() == {"status": "ok"}

    def broken(**_: object) -> object:
        raise SinksideError("gone")

    monkeypatch.setattr(house.archive, "unit", broken)
    assert house.caller().get("/health/live").status_code == 200
    assert house.caller().get("/health/ready").status_code == 503

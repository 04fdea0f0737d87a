"""Requests that no browser sends: refused in one sentence, on a real database, and never a crash."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest

from sinkside import wiring
from sinkside.archive import open_archive
from sinkside.desk import shelf
from sinkside.settings import Settings
from sinkside.web import Context, create_app
from support.browserless import Caller, signed_in

AT: Final = "/at/valley"
DEEP: Final = b'{"a":' * 100_000 + b"1" + b"}" * 100_000

JSON: Final = {
    "nested without end": DEEP,
    "a number of 6,000 digits": b'{"base":' + b"9" * 6000 + b',"reason":"x"}',
    "no finite number": b'{"base":1e999,"reason":"x"}',
    "half a character": b'{"base":1,"reason":"\\ud800"}',
    "another encoding": b'{"base":1,"reason":"\xff"}',
    "a list": b"[]",
    "nothing": b"",
    "an unknown field": b'{"base":1,"reason":"x","more":1}',
    "more than a form holds": b'{"base":1,"reason":"' + b"x" * 2_000_000 + b'"}',
}
FORMS: Final = {
    "more than a form holds": b"reason=" + b"x" * 2_000_000,
    "thousands of fields": b"&".join(b"a%d=1" % number for number in range(3000)),
    "no form at all": b"\xff\xfe=\x00&&&===",
    "a number too large": b"reason=x&base=99999999999999999999999",
    "a zero character": b"reason=a%00b&base=1",
}
BOUNDED: Final = "multipart/form-data; boundary=edge"
PART: Final = b'--edge\r\nContent-Disposition: form-data; name="%s"%s\r\n\r\n%s\r\n'
UPLOADS: Final = {
    "no boundary": ("multipart/form-data", b"abc"),
    "another boundary": (BOUNDED, b"--other\r\n\r\nabc"),
    "a part without a name": (
        BOUNDED,
        b"--edge\r\nContent-Disposition: form-data\r\n\r\nabc\r\n--edge--\r\n",
    ),
    "a field of 5 MB": (BOUNDED, PART % (b"csrf", b"", b"x" * 5_000_000) + b"--edge--\r\n"),
    "300 files": (BOUNDED, PART % (b"document", b'; filename="a.txt"', b"Dry it.") * 300 + b"--edge--\r\n"),
    "no file": (BOUNDED, b"--edge--\r\n"),
}
ADDRESSES: Final = (
    f"{AT}/cycles?text=%00",
    f"{AT}/cycles?machine=%00|%FF",
    f"{AT}/cycles?since=0001-01-01&until=9999-12-31",
    f"{AT}/cycles/%ED%A0%80",
    f"{AT}/record?text=%FF%00",
    f"{AT}/instructions?text=%ED%A0%80",
    f"{AT}/instructions/%00/document/%00",
    "/at/%FF/today",
    "/first-account/%00",
    "/new-password/%FF",
)


@pytest.fixture
def lead(read_house: Path) -> Caller:
    """The lead of a house on a real database, whose documents are read."""
    archive = open_archive(read_house)
    app = create_app(
        Context(
            archive=archive,
            settings=Settings(),
            clock=wiring.now,
            badge_key=bytes(32),
            handlers=wiring.job_handlers(),
        )
    )
    return signed_in(app, archive, "lead", now=wiring.now())


def _refused(caller: Caller, path: str, kind: str, body: bytes) -> None:
    answer = caller.ask("POST", path, content=body, headers={"Content-Type": kind})
    assert 400 <= answer.status_code < 500, (path, kind, answer.status_code)
    if path.startswith("/api"):
        assert answer.json()["error"]["sentence"].endswith(".")
        assert answer.json()["error"]["what"] != "crash"


def test_what_no_browser_sends_is_refused(lead: Caller, read_house: Path) -> None:
    """Bodies that are too deep, too large, cut, or in no encoding get a sentence and change nothing."""
    archive = open_archive(read_house)
    with archive.unit(writes=False) as unit:
        row = unit.rows.all(shelf.KIND, ["valley"])[0]
        before = unit.journal.head("valley")
    step = f"{AT}/instructions/{row.id}/steps/s1/strike"
    for body in JSON.values():
        _refused(lead, f"/api{step}", "application/json", body)
    for body in FORMS.values():
        sent = b"csrf=" + lead.csrf.encode() + b"&" + body
        _refused(lead, step, "application/x-www-form-urlencoded", sent)
    for kind, body in UPLOADS.values():
        for door in ("", "/api"):
            _refused(lead, f"{door}{AT}/instructions/new", kind, body)
    for address in ADDRESSES:
        for door in ("", "/api"):
            assert lead.get(f"{door}{address}").status_code < 500, address
    with archive.unit(writes=False) as unit:
        assert unit.journal.head("valley") == before
    archive.close()

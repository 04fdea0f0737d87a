"""Somebody who worked here is erased through the web: no byte names them, and the chain holds."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any, Final, Self

import httpx

from sinkside.archive import check, open_archive
from support.command import Sinkside
from support.served import guest, served

NAME: Final = "Zephyrine Quackenbush"
SIGN_IN: Final = "zephyrine.q"
BADGE: Final = "badge-8841-zq"
PASSWORD: Final = "four words are enough"  # noqa: S105 # nobody's
AT: Final = "/at/valley"

#: Pages that say who did what.
SHOW_WHO: Final = ("/today", "/record", "/cycles?shown=all", "/instructions")


class _Program:
    """Somebody who works through the API of a served house."""

    def __init__(self, port: int) -> None:
        self.client = httpx.Client(base_url=f"http://127.0.0.1:{port}/api", timeout=60, trust_env=False)
        self.token = ""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.client.close()

    def get(self, path: str) -> Any:
        """What a page says."""
        answer = self.client.get(path)
        assert answer.status_code == 200, answer.text
        return answer.json()

    def send(self, path: str, **form: object) -> Any:
        """What came of an act."""
        answer = self.client.post(path, json=form, headers={"X-CSRF-Token": self.token})
        assert answer.status_code == 200, answer.text
        return answer.json()

    def sign_in(self, name: str) -> None:
        """Sign in, and keep the token that forms carry."""
        self.send("/sign-in", name=name, password=PASSWORD)
        self.token = str(self.get("/account")["form_token"])


def _signed_in(house: Path, port: int, sign_in: str) -> _Program:
    program, archive = _Program(port), open_archive(house)
    known = guest(archive, sign_in)
    archive.close()
    name, _, token = known.cookie.partition("=")
    program.client.cookies.set(name, token)
    program.token = known.csrf
    return program


def _work(person: _Program, admin: _Program) -> str:
    """Somebody comes, sets password, PIN and badge, mistypes, edits and decides; where they are shown."""
    made = admin.send(f"{AT}/people/new", name=NAME, sign_in=SIGN_IN, roles=["lead"])
    person.send(f"/new-password/{made['link'].rpartition('/')[2]}", password=PASSWORD)
    for wrong in ("wrong wrong wrong", SIGN_IN):
        refused = person.client.post("/sign-in", json={"name": SIGN_IN, "password": wrong})
        assert refused.status_code == 403
    person.sign_in(SIGN_IN)
    person.send("/account/pin", password=PASSWORD, pin="271828")
    shelf = person.get(f"{AT}/instructions")["instructions"]
    address = next(one["address"] for one in shelf if one["revision"] == 1)
    step = person.get(address)["stages"][0]["steps"][0]["id"]
    person.send(f"{address}/steps/{step}/accept", base=1)
    cycle = person.get(f"{AT}/cycles")["cycles"][0]["address"]
    person.send(f"{cycle}/decision", decided="held", verdict_revision=1, reason="to be looked at")
    assert NAME in str(person.get(cycle))
    found = next(one for one in admin.get(f"{AT}/people")["people"] if one["name"] == NAME)
    admin.send(f"{found['address']}/badge", badge=BADGE)
    return str(found["address"])


@contextmanager
def _others_read_on(port: int, admin: _Program) -> Iterator[None]:
    """People who load pages all the while, so that the database has readers at every moment."""
    over = threading.Event()

    def read() -> None:
        with httpx.Client(cookies=admin.client.cookies, timeout=60, trust_env=False) as client:
            while not over.is_set():
                client.get(f"http://127.0.0.1:{port}{AT}/people")

    reading = [threading.Thread(target=read, daemon=True) for _ in range(3)]
    for thread in reading:
        thread.start()
    yield
    over.set()
    for thread in reading:
        thread.join(60)


def _named_in(folder: Path, words: tuple[bytes, ...]) -> list[str]:
    return [
        f"{path.name}: {word!r}"
        for path in sorted(folder.rglob("*"))
        if path.is_file()
        for word in words
        if word in path.read_bytes().lower()
    ]


def test_whoever_is_erased_is_named_nowhere(read_house: Path, tmp_path: Path, sinkside: Sinkside) -> None:
    """Not in database, log or file, nor on a page, nor in a later backup; what they did stays."""
    log = tmp_path / "logs" / "house.log"
    log.parent.mkdir()
    words = (NAME.lower().encode(), SIGN_IN.encode(), BADGE.encode(), b"quackenbush")
    with served(read_house, log=log) as serving, ExitStack() as open_ones:
        admin, lead = (
            open_ones.enter_context(_signed_in(read_house, serving.port, one))
            for one in ("administrator", "lead")
        )
        person = open_ones.enter_context(_Program(serving.port))
        address = _work(person, admin)
        assert _named_in(read_house, words)
        with _others_read_on(serving.port, admin):
            admin.send(f"{address}/erase")
        assert _named_in(read_house, words) == []
        assert person.client.get("/account").status_code == 401
        seen = [admin.get(f"{AT}/people"), *(lead.get(f"{AT}{page}") for page in SHOW_WHO)]
        assert NAME not in str(seen)
        assert address.rpartition("/")[2] in str(seen)
        told = sinkside("backup", str(tmp_path / "later.tar"), "--workspace", str(read_house))
        assert told.status == 0, told.err
    assert _named_in(tmp_path, words) == []
    assert log.stat().st_size > 0
    report = check(read_house)
    assert report.is_sound, report.problems

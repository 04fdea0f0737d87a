"""Requests to the web application without a browser or a port."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import httpx
from fastapi import FastAPI

from sinkside.desk.passwords import new_token, token_digest
from sinkside.desk.ports import Archive
from sinkside.records import Session

ORIGIN = "http://house.example"


@dataclass
class Caller:
    """Somebody who sends requests: their cookies, and the token that their forms carry."""

    app: FastAPI
    cookies: dict[str, str] = field(default_factory=dict)
    csrf: str = ""

    def ask(
        self,
        method: str,
        path: str,
        *,
        data: Mapping[str, Any] | None = None,
        json: Any = None,
        files: Any = None,
        headers: Mapping[str, str] | None = None,
        content: Any = None,
    ) -> httpx.Response:
        """Send one request; what is redirected is not followed."""

        async def send() -> httpx.Response:
            transport = httpx.ASGITransport(self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url=ORIGIN) as client:
                client.cookies.update(self.cookies)
                return await client.request(
                    method,
                    path,
                    data=data,
                    json=json,
                    files=files,
                    content=content,
                    headers={"X-CSRF-Token": self.csrf, **(headers or {})},
                )

        # In a thread of its own: a browser that other tests drive leaves its loop running in this one.
        with ThreadPoolExecutor(1) as thread:
            answer = thread.submit(asyncio.run, send()).result()
        self.cookies.update(answer.cookies)
        return answer

    def get(self, path: str, **options: Any) -> httpx.Response:
        """Ask for a page."""
        return self.ask("GET", path, **options)

    def post(self, path: str, data: Mapping[str, Any] | None = None, **options: Any) -> httpx.Response:
        """Send a form with its token."""
        return self.ask("POST", path, data={"csrf": self.csrf, **(data or {})}, **options)

    def send(self, path: str, json: Any = None) -> httpx.Response:
        """Send what a program sends."""
        return self.ask("POST", path, json={} if json is None else json)


def signed_in(
    app: FastAPI, archive: Archive, sign_in: str, *, now: datetime, shared_tablet: bool = False
) -> Caller:
    """Somebody with an open session, without the work of checking a password."""
    token, csrf = new_token(), new_token()
    with archive.unit() as unit:
        person = unit.people.by_sign_in(sign_in)
        assert person is not None
        unit.people.open_session(
            Session(token_digest(token), person.id, now, now, csrf, shared_tablet=shared_tablet)
        )
    return Caller(app, {"sinkside_session": token}, csrf)

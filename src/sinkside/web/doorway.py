"""The doorway: every request gets an id and a limit here, every answer its headers and a line in the log."""

from __future__ import annotations

import secrets
import time
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from sinkside.settings import Settings
from sinkside.web.logs import log_crash, log_request
from sinkside.web.problems import TooLarge

#: Scripts, styles, fonts and pictures of our own only, nothing inline, in nobody's frame.
POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
HEADERS: Final = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), microphone=(), geolocation=(), payment=()",
}

#: A form without files is short; anything longer is none of ours.
FORM_BYTES: Final = 1_000_000

Answer = Callable[[Scope, Exception], Awaitable[ASGIApp]]


class Doorway:
    """ASGI middleware around the whole application."""

    def __init__(self, app: ASGIApp, *, settings: Settings, answer: Answer) -> None:
        self.app = app
        self.settings = settings
        self.answer = answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, and see that something comes back."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        passing = _Passing(scope, receive, send, self.settings)
        try:
            passing.refuse_what_is_too_large()
            await self.app(scope, passing.receive, passing.send)
            passing.refuse_what_is_too_large()
        except TooLarge as error:
            await passing.listen_out()
            await self._tell(passing, error)
        except Exception as error:  # noqa: BLE001 # the last door: nothing may fall through it
            log_crash(passing.request_id, error)
            await self._tell(passing, error)
        log_request(scope, status=passing.status, request_id=passing.request_id, took_s=passing.took_s)

    async def _tell(self, passing: _Passing, error: Exception) -> None:
        if not passing.started:
            await (await self.answer(passing.scope, error))(passing.scope, passing.receive, passing.send)


class _Passing:
    """One request on its way through."""

    def __init__(self, scope: Scope, receive: Receive, send: Send, settings: Settings) -> None:
        self.scope, self._receive, self._send = scope, receive, send
        self.request_id = secrets.token_hex(8)
        self.status = 0
        self.started = False
        self._began = time.monotonic()
        self._wait_s = settings.upload_wait_s
        self._is_secure = settings.is_secure
        self._heard = 0
        self._ended = False
        self._refusing = False
        headers = dict(scope["headers"])
        multipart = headers.get(b"content-type", b"").lower().startswith(b"multipart/form-data")
        self.limit = settings.upload_bytes if multipart else FORM_BYTES
        stated = headers.get(b"content-length", b"0")
        self._is_too_large = stated.isdigit() and int(stated) > self.limit
        state: MutableMapping[str, Any] = scope.setdefault("state", {})
        state["request_id"] = self.request_id

    @property
    def took_s(self) -> float:
        """How long it took so far."""
        return time.monotonic() - self._began

    def refuse_what_is_too_large(self) -> None:
        """Refuse by the size that is stated before anything is read, and by what was heard.

        Raises:
            TooLarge: with what is taken at the most.
        """
        if self._is_too_large:
            raise self.refusal()

    def refusal(self) -> TooLarge:
        """The sentence for what is too large."""
        size = f"{self.limit / 1e6:.0f} MB"
        return TooLarge(f"this is too large to be taken; expected at most {size}", resource="upload")

    async def receive(self) -> Message:
        """The next part of what is sent, counted."""
        message = await self._receive()
        if message["type"] == "http.request":
            self._heard += len(message.get("body", b""))
            self._ended = not message.get("more_body", False)
            if self._heard > self.limit:
                self._is_too_large = True
                raise self.refusal()
        else:
            self._ended = True
        return message

    async def listen_out(self) -> None:
        """Hear out what is refused, keeping none of it: a browser shows no answer before it has sent all."""
        self._refusing = True
        while not self._ended and self.took_s < self._wait_s:
            message = await self._receive()
            self._ended = message["type"] != "http.request" or not message.get("more_body", False)

    async def send(self, message: Message) -> None:
        """Pass an answer on, with the headers that all answers have.

        Whoever reads a body takes our refusal for a broken one and answers so; that answer is dropped.
        """
        if self._is_too_large and not self._refusing:
            return
        if message["type"] == "http.response.start":
            self.started, self.status = True, message["status"]
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("Cache-Control", self._caching())
            headers["X-Request-Id"] = self.request_id
            if self._is_secure:
                headers["Strict-Transport-Security"] = "max-age=31536000"
        await self._send(message)

    def _caching(self) -> str:
        if not self.scope["path"].startswith("/static/"):
            return "no-store"
        is_versioned = self.scope["query_string"].startswith(b"v=")
        return "public, max-age=31536000, immutable" if is_versioned else "no-cache"

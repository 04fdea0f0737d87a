"""Cookies: what they are called, how they are set, and the token that every form carries."""

from __future__ import annotations

import hmac
import secrets
from typing import Final, Literal
from urllib.parse import quote

from starlette.responses import Response

from sinkside.settings import Settings

SESSION: Final = "sinkside_session"
FORM: Final = "sinkside_form"
TABLET: Final = "sinkside_tablet"
LOOK: Final = "sinkside_look"
SAID: Final = "sinkside_said"

LOOKS: Final = ("auto", "light", "dark")

_A_YEAR_S: Final = 365 * 24 * 3600
_A_WORKING_DAY_S: Final = 12 * 3600
_FORM_TOKEN_LENGTH: Final = 43


def set_session(response: Response, token: str, settings: Settings, *, shared_tablet: bool) -> None:
    """Let the browser keep the session's token, out of reach of any script, and whether others share it."""
    _set(response, SESSION, token, settings, lasts_s=_A_WORKING_DAY_S)
    if shared_tablet:
        _set(response, TABLET, "shared", settings, lasts_s=_A_WORKING_DAY_S)
    else:
        response.delete_cookie(TABLET, httponly=True, secure=settings.is_secure)


def drop_session(response: Response, settings: Settings) -> None:
    """Let the browser forget the session."""
    for name in (SESSION, TABLET):
        response.delete_cookie(name, httponly=True, secure=settings.is_secure, samesite="lax")


def set_form_token(response: Response, token: str, settings: Settings) -> None:
    """Before anybody is signed in, the form's token is kept in a cookie and compared with the form's."""
    _set(response, FORM, token, settings, lasts_s=_A_WORKING_DAY_S, samesite="strict")


def set_look(response: Response, look: str, settings: Settings) -> None:
    """Remember light, dark or as the device has it."""
    _set(response, LOOK, look, settings, lasts_s=_A_YEAR_S)


def say_next(response: Response, sentence: str, settings: Settings) -> None:
    """Hand a sentence to the next page."""
    if sentence:
        _set(response, SAID, quote(sentence), settings, lasts_s=60)


def form_token_of(kept: str) -> str:
    """The form token that the browser keeps, or a new one."""
    return kept if len(kept) == _FORM_TOKEN_LENGTH else secrets.token_urlsafe(32)


def token_fits(expected: str, given: str) -> bool:
    """Whether a form carries the token that it should, compared in constant time."""
    return hmac.compare_digest(expected.encode(), given.encode("utf-8", "surrogatepass"))


def _set(
    response: Response,
    name: str,
    value: str,
    settings: Settings,
    *,
    lasts_s: int,
    samesite: Literal["lax", "strict"] = "lax",
) -> None:
    response.set_cookie(
        name, value, max_age=lasts_s, httponly=True, secure=settings.is_secure, samesite=samesite
    )

"""Passwords, PINs and the tokens behind links and sessions: made, checked, and kept only as digests."""

from __future__ import annotations

import functools
import hashlib
import itertools
import secrets
import unicodedata
from importlib import resources
from typing import TYPE_CHECKING, Final

from sinkside.errors import BadInput

if TYPE_CHECKING:
    from argon2 import PasswordHasher

#: As NIST SP 800-63B advises (from memory): length counts, rules of composition do not.
SHORTEST_PASSWORD: Final = 12
LONGEST_PASSWORD: Final = 1024
SHORTEST_PIN: Final = 6
LONGEST_PIN: Final = 12

_MEMORY_KIB: Final = 19 * 1024
_PASSES: Final = 2
_TOKEN_BYTES: Final = 32


def hashed(secret: str) -> str:
    """The argon2id hash of a password or PIN (19 MiB, two passes), fit to be kept."""
    return _hasher().hash(_normal(secret))


def fits(kept: str, secret: str) -> bool:
    """Whether a password or PIN is the one whose hash is kept.

    Without a hash the answer is no, after the same work, so that the time tells nobody whether there is one.
    """
    from argon2.exceptions import InvalidHashError, VerificationError

    decoy = _decoy()
    try:
        _hasher().verify(kept or decoy, _normal(secret))
    except (VerificationError, InvalidHashError):
        return False
    return bool(kept)


def check_password(password: str) -> None:
    """Refuse a password that is too short, too long, all one sign, or among the commonest.

    Raises:
        BadInput: with what was expected.
    """
    length = len(password)
    if length < SHORTEST_PASSWORD:
        raise BadInput(
            f"the password has {length} characters; expected at least {SHORTEST_PASSWORD}",
            resource="password",
        )
    if length > LONGEST_PASSWORD:
        raise BadInput(f"the password is longer than {LONGEST_PASSWORD} characters", resource="password")
    if len(set(password)) == 1 or password.casefold() in _commonest():
        raise BadInput("this password is among the first that others would try", resource="password")


def check_pin(pin: str) -> None:
    """Refuse a PIN that is no run of 6 to 12 digits, or that counts up, down or not at all.

    Raises:
        BadInput: with what was expected.
    """
    if not (pin.isascii() and pin.isdigit() and SHORTEST_PIN <= len(pin) <= LONGEST_PIN):
        raise BadInput(f"expected {SHORTEST_PIN} to {LONGEST_PIN} digits", resource="pin")
    strides = {(int(after) - int(before)) % 10 for before, after in itertools.pairwise(pin)}
    if len(strides) == 1:
        raise BadInput("this PIN is among the first that others would try", resource="pin")


def new_token() -> str:
    """A random token for a link or a session."""
    return secrets.token_urlsafe(_TOKEN_BYTES)


def token_digest(token: str) -> str:
    """What is kept of a token: it has too much chance in it for its digest to be guessed back."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def _normal(secret: str) -> bytes:
    """The same password however a keyboard composes its accents."""
    return unicodedata.normalize("NFC", secret).encode("utf-8", "surrogatepass")


@functools.cache
def _hasher() -> PasswordHasher:
    from argon2 import PasswordHasher

    return PasswordHasher(time_cost=_PASSES, memory_cost=_MEMORY_KIB, parallelism=1)


@functools.cache
def _decoy() -> str:
    return hashed(new_token())


@functools.cache
def _commonest() -> frozenset[str]:
    file = resources.files("sinkside.desk").joinpath("policies", "refused_passwords.txt")
    lines = file.read_text(encoding="utf-8").splitlines()
    return frozenset(line.casefold() for line in lines if line and not line.startswith("#"))

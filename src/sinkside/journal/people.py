"""People in the journal: pseudonyms and salted digests, so that erasing a person leaves the chain valid.

Each person has a random salt, kept with the name in one erasable table. Events carry only what is made from
the salt; once salt and row are gone nobody can say, not even by trying every name, whom an event concerns.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import unicodedata

from sinkside.errors import SinksideError

_SHORTEST_SALT_BYTES = 16
_PSEUDONYM_BYTES = 10


def pseudonym(salt: bytes, person: str) -> str:
    """The id under which a person stands in events.

    Args:
        salt: the person's own random bytes, at least 16.
        person: what identifies them to the department, such as a staff number.

    Raises:
        SinksideError: if the salt is too short to hide anyone.

    >>> pseudonym(bytes(16), "4711")
    'p-Z4TUP56DEJIYSNPT'
    """
    return f"p-{base64.b32encode(_keyed(salt, person)[:_PSEUDONYM_BYTES]).decode()}"


def salted_digest(salt: bytes, text: str) -> str:
    """A digest (HMAC-SHA-256, hexadecimal) that ties an event to a text without carrying it.

    The same text gives the same digest however its accents are encoded (Unicode NFC).

    Raises:
        SinksideError: if the salt is shorter than 16 bytes.
    """
    return _keyed(salt, text).hex()


def _keyed(salt: bytes, text: str) -> bytes:
    if len(salt) < _SHORTEST_SALT_BYTES:
        raise SinksideError(f"a salt has at least {_SHORTEST_SALT_BYTES} bytes; this one has {len(salt)}")
    return hmac.digest(salt, unicodedata.normalize("NFC", text).encode(), hashlib.sha256)

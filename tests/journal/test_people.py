"""Pseudonyms and salted digests."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.errors import SinksideError
from sinkside.journal import pseudonym, salted_digest


def test_the_published_vector_of_the_digest() -> None:
    """RFC 4231, test case 1: HMAC-SHA-256 under twenty bytes 0b of "Hi There" (vector from memory)."""
    expected = "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"
    assert salted_digest(b"\x0b" * 20, "Hi There") == expected


@given(st.binary(min_size=16, max_size=32), st.text(min_size=1, max_size=20))
def test_a_pseudonym_depends_on_salt_and_person(salt: bytes, person: str) -> None:
    """The same person under the same salt keeps one pseudonym; another salt or person gets another."""
    own = pseudonym(salt, person)
    assert own == pseudonym(salt, person)
    assert own not in {pseudonym(salt + b"x", person), pseudonym(salt, person + "x")}


def test_accents_may_be_encoded_either_way() -> None:
    """A name typed with a composed or a combining accent is the same name."""
    assert salted_digest(bytes(16), "Zo\u00eb") == salted_digest(bytes(16), "Zoe\u0308")


def test_a_short_salt_hides_nobody() -> None:
    """A salt below sixteen bytes is refused."""
    with pytest.raises(SinksideError, match="at least 16 bytes; this one has 15"):
        pseudonym(bytes(15), "4711")

"""The chain: whatever is changed is found."""

from __future__ import annotations

import functools
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.journal import Event, Happening, Head, check, head_of, link, pseudonym, salted_digest

START = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)


@functools.cache
def chain(length: int = 6) -> tuple[Event, ...]:
    """A journal of some events."""
    events: list[Event] = []
    for number in range(length):
        happening = Happening(
            at=START + timedelta(minutes=number),
            zone="Europe/Vienna",
            kind="step-done",
            actor="p-AAAAAAAAAAAAAAAA",
            subject=f"run-{number}",
            data={"held_s": 60 + number / 8},
        )
        events.append(link(events[-1] if events else None, happening))
    return tuple(events)


def stored() -> list[bytes]:
    """The events of the journal as they are stored."""
    return [event.canonical for event in chain()]


HEAD = head_of(chain()[-1])


def test_a_whole_chain_has_no_fault() -> None:
    """A chain checks as stored and as read, with and without its head, whole and from the middle."""
    assert check(stored()) is None
    assert check(chain(), head=HEAD) is None
    assert check(stored()[3:], after=head_of(chain()[2]), head=HEAD) is None
    assert check([]) is None


@given(st.data())
def test_a_change_to_any_byte_of_any_event_is_found(data: st.DataObject) -> None:
    """Whichever byte of whichever event becomes another one, the check says so, at that event or the next."""
    rows = stored()
    at = data.draw(st.integers(0, len(rows) - 1), label="event")
    position = data.draw(st.integers(0, len(rows[at]) - 1), label="byte")
    other = data.draw(st.integers(0, 255).filter(lambda byte: byte != rows[at][position]), label="becomes")
    rows[at] = rows[at][:position] + bytes([other]) + rows[at][position + 1 :]
    fault = check(rows, head=HEAD)
    assert fault is not None
    assert fault.sequence in {at + 1, at + 2}


def test_every_single_bit_counts() -> None:
    """Each of the lowest bits of one event, turned in its stored bytes, is found."""
    rows = stored()
    for position in range(len(rows[2])):
        changed = rows[2][:position] + bytes([rows[2][position] ^ 1]) + rows[2][position + 1 :]
        assert check([*rows[:2], changed, *rows[3:]], head=HEAD), position


@pytest.mark.parametrize(
    ("rows", "sequence", "said"),
    [
        ([0, 1, 3, 4, 5], 3, "missing or out of order; number 4 stands in its place"),
        ([0, 2, 1, 3, 4, 5], 2, "number 3 stands in its place"),
        ([0, 1, 1, 2, 3, 4, 5], 3, "number 2 stands in its place"),
        ([1, 2, 3, 4, 5], 1, "number 2 stands in its place"),
        ([0, 1, 2, 3], 5, "missing; the chain once reached number 6"),
    ],
)
def test_lost_moved_and_repeated_events_are_found(rows: list[int], sequence: int, said: str) -> None:
    """The first fault is named with its number and what is wrong."""
    fault = check([stored()[row] for row in rows], head=HEAD)
    assert fault is not None
    assert fault.sequence == sequence
    assert said in str(fault)


def test_a_recomputed_chain_is_found_by_its_printed_head() -> None:
    """Whoever rewrites the whole chain passes the bare check, and fails against the head that was printed."""
    happening = Happening(at=START, zone="UTC", kind="step-done", actor="system", subject="another")
    rewritten: list[Event] = []
    for _ in chain():
        rewritten.append(link(rewritten[-1] if rewritten else None, happening))
    assert check(rewritten) is None
    fault = check(rewritten, head=HEAD)
    assert fault is not None
    assert "not the one that was kept" in fault.problem
    assert str(head_of(rewritten[-1])) != str(HEAD)


def test_a_chain_longer_than_the_kept_head_says_so() -> None:
    """Events after the kept head are not vouched for by it."""
    fault = check(chain(), head=head_of(chain()[3]))
    assert fault is not None
    assert fault.sequence == 5


def test_the_printed_head_is_short() -> None:
    """The head is printed as its number and sixteen letters in groups of four."""
    number, *groups = str(HEAD).split("-")
    assert number == "6"
    assert [len(group) for group in groups] == [4, 4, 4, 4]
    assert str(Head(0, "0" * 64)) == str(head_of(None))


def test_erasing_the_table_of_names_leaves_the_chain_valid() -> None:
    """Names and salts live outside the events; once they are gone the chain is whole and names nobody."""
    people = {"4711": ("Maria Huber", b"salt of Maria 16"), "4712": ("Jonas Weber", b"salt of Jonas 16")}
    events: list[Event] = []
    for number, (name, salt) in people.items():
        happening = Happening(
            at=START,
            zone="Europe/Vienna",
            kind="signed-off",
            actor=pseudonym(salt, number),
            subject="set-3",
            data={"signature": salted_digest(salt, name)},
        )
        events.append(link(events[-1] if events else None, happening))
    rows, head = [event.canonical for event in events], head_of(events[-1])
    names = [name for name, _ in people.values()]
    people.clear()
    assert check(rows, head=head) is None
    everything = b"".join(rows).decode()
    assert not [part for name in names for part in name.split() if part in everything]
    assert "4711" not in everything

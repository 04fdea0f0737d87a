"""Accounts: the first one, people and roles, passwords, and erasing."""

from __future__ import annotations

from datetime import timedelta

import pytest

from sinkside.desk import accounts, credentials
from sinkside.desk.passwords import check_password, check_pin, fits, hashed
from sinkside.desk.people import names_of
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.journal import check
from sinkside.records import Grant
from support.desk_house import BADGE_KEY, ELSEWHERE, PHRASE, SITE, House, new_house
from support.memory_archive import MemoryArchive


def test_the_first_account_is_set_up_once() -> None:
    """The first link works once, and there is none once anybody has an account."""
    house = new_house()
    assert accounts.first_account_link(house.archive, now=house.now) is None


def test_the_first_link_expires() -> None:
    """A first link that is a day old sets up nothing."""
    house = House()
    token = accounts.first_account_link(house.archive, now=house.now)
    assert token is not None
    with pytest.raises(NotAllowed):
        accounts.set_up_first_account(
            house.archive,
            token=token,
            new=accounts.NewPerson("Ada", "ada"),
            password=PHRASE,
            site=SITE,
            now=house.later(hours=24),
        )
    with house.archive.unit(writes=False) as unit:
        assert unit.people.all() == []
        assert unit.sites.all() == []


def test_a_second_first_link_is_worthless_after_the_first_was_used() -> None:
    """Of two links to a first account only one is ever used."""
    house = House()
    tokens = [accounts.first_account_link(house.archive, now=house.now) for _ in range(2)]
    for token, outcome in zip(tokens, (True, False), strict=True):
        assert token is not None
        made = accounts.NewPerson("Ada", f"ada-{outcome}")
        if outcome:
            accounts.set_up_first_account(
                house.archive, token=token, new=made, password=PHRASE, site=SITE, now=house.now
            )
        else:
            with pytest.raises(NotAllowed):
                accounts.set_up_first_account(
                    house.archive, token=token, new=made, password=PHRASE, site=SITE, now=house.now
                )


@pytest.mark.parametrize("password", ["short", "a" * 20, "PasswordPassword", "x" * 2000])
def test_passwords_that_others_would_try_are_refused(password: str) -> None:
    """Short, endless, monotonous and common passwords are refused with a reason."""
    with pytest.raises(BadInput):
        check_password(password)


def test_a_long_password_needs_no_signs() -> None:
    """Length is enough: no rule asks for capitals, digits or signs."""
    check_password("four quiet words here")


@pytest.mark.parametrize("pin", ["12345", "123456", "987654", "000000", "13579a", "1234567890123"])
def test_weak_pins_are_refused(pin: str) -> None:
    """A PIN that counts, repeats, is short or no number is refused."""
    with pytest.raises(BadInput):
        check_pin(pin)


def test_hashes_are_argon2id_with_the_cost_that_was_chosen() -> None:
    """A kept hash names argon2id, 19 MiB and two passes; accents match however they are composed."""
    kept = hashed("caf\u00e9 au lait noir")
    assert kept.startswith("$argon2id$v=19$m=19456,t=2,p=1$")
    assert fits(kept, "cafe\u0301 au lait noir")
    assert not fits(kept, "cafe au lait noir")
    assert not fits("", "anything at all")


def test_names_to_sign_in_with_are_taken_once(house: House) -> None:
    """A second person cannot sign in under a name that is taken, whatever its case."""
    with pytest.raises(BadInput, match="signs in as"):
        accounts.add_person(
            house.archive,
            house.visitor("ada"),
            accounts.NewPerson("Other", "TOM"),
            roles=["technician"],
            now=house.now,
        )


def test_only_who_manages_people_adds_them(house: House) -> None:
    """An educator cannot add people, and nothing is written when they try."""
    with pytest.raises(NotAllowed):
        accounts.add_person(
            house.archive,
            house.visitor("eve"),
            accounts.NewPerson("New", "new"),
            roles=["technician"],
            now=house.now,
        )
    with house.archive.unit(writes=False) as unit:
        assert unit.people.by_sign_in("new") is None


def test_somebody_always_manages_people(house: House) -> None:
    """The last administrator can be neither demoted, shut, erased nor given an end."""
    ada, me = house.visitor("ada"), house.people["ada"]
    with pytest.raises(BadInput, match="nobody would be left"):
        accounts.withdraw_role(house.archive, ada, me, role="administrator", now=house.now)
    with pytest.raises(BadInput, match="nobody would be left"):
        accounts.set_disabled(house.archive, ada, me, disabled=True, now=house.now)
    with pytest.raises(BadInput, match="nobody would be left"):
        accounts.erase_person(house.archive, ada, me, now=house.now)
    with pytest.raises(BadInput, match="nobody would be left"):
        accounts.grant_role(
            house.archive, ada, me, role="administrator", now=house.now, until=house.now + timedelta(days=1)
        )


def test_nobody_takes_over_who_works_elsewhere_too(house: House) -> None:
    """An administrator here cannot reset the password of somebody who also works in another department."""
    with house.archive.unit() as unit:
        unit.sites.add(ELSEWHERE)
        unit.people.grant(Grant(house.people["eve"], ELSEWHERE.id, "lead"))
    with pytest.raises(NotAllowed, match="another department"):
        credentials.reset_link(house.archive, house.visitor("ada"), house.people["eve"], now=house.now)


def test_people_of_other_departments_are_not_there(house: House) -> None:
    """Somebody without a role here cannot be shut, reset or erased from here."""
    with house.archive.unit() as unit:
        unit.sites.add(ELSEWHERE)
        unit.people.grant(Grant(house.people["tom"], ELSEWHERE.id, "lead"))
        unit.people.withdraw(house.people["tom"], SITE.id, "technician")
    with pytest.raises(NotThere):
        accounts.erase_person(house.archive, house.visitor("ada"), house.people["tom"], now=house.now)


def test_a_reset_link_sets_a_password_once_and_ends_sessions(house: House) -> None:
    """After a reset the old password and old sessions are worthless, and the link is spent."""
    before = house.sign_in("tom")
    token = credentials.reset_link(house.archive, house.visitor("ada"), house.people["tom"], now=house.now)
    fresh = "another quiet phrase"
    credentials.choose_password(house.archive, token=token, password=fresh, now=house.now)
    with pytest.raises(NotAllowed):
        credentials.choose_password(house.archive, token=token, password=fresh, now=house.now)
    with pytest.raises(NotAllowed):
        house.sign_in("tom")
    assert house.sign_in("tom", fresh).token != before.token


def test_changing_ones_password_asks_for_the_old_one(house: House) -> None:
    """A borrowed session cannot change the password without knowing it."""
    with pytest.raises(NotAllowed):
        credentials.change_password(
            house.archive, house.visitor("tom"), old="wrong", new="another quiet phrase", now=house.now
        )


def test_a_badge_is_one_persons(house: House) -> None:
    """A badge that somebody has cannot be given to somebody else."""
    ada = house.visitor("ada")
    credentials.set_badge(
        house.archive, ada, house.people["tom"], badge="0042", badge_key=BADGE_KEY, now=house.now
    )
    with pytest.raises(BadInput, match="somebody else's"):
        credentials.set_badge(
            house.archive, ada, house.people["eve"], badge="0042", badge_key=BADGE_KEY, now=house.now
        )


def test_erasing_leaves_no_name_and_a_valid_chain(house: House) -> None:
    """After somebody is erased their name stands nowhere, and the chain is as whole as before."""
    assert isinstance(house.archive, MemoryArchive)
    house.sign_in("tom")
    tom = house.people["tom"]
    accounts.erase_person(house.archive, house.visitor("ada"), tom, now=house.now)
    kept = repr(house.archive.tables)
    assert "Tom" not in kept
    assert "'tom'" not in kept
    assert names_of(house.archive, [tom]) == {tom: tom}
    with house.archive.unit(writes=False) as unit:
        assert check(unit.journal.stored(SITE.id), head=unit.journal.head(SITE.id)) is None


def test_no_event_carries_a_name(house: House) -> None:
    """Neither names nor names to sign in with stand in any event."""
    with house.archive.unit(writes=False) as unit:
        told = b"".join(unit.journal.stored(SITE.id)).lower()
    assert b'"ada"' not in told
    assert b"uma" not in told


def test_the_page_of_people_shows_ended_roles_as_ended(house: House) -> None:
    """A role that ended stays on the page of people, marked as ended."""
    accounts.grant_role(
        house.archive,
        house.visitor("ada"),
        house.people["tom"],
        role="lead",
        now=house.now,
        until=house.now + timedelta(hours=1),
    )
    house.later(hours=2)
    shown = {
        one.sign_in: one for one in accounts.people_here(house.archive, house.visitor("ada"), now=house.now)
    }
    assert {held.role: held.ended for held in shown["tom"].roles} == {"lead": True, "technician": False}

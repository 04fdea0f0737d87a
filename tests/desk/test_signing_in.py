"""Signing in: the same answer for everybody, brakes, timeouts, and who is at a shared tablet."""

from __future__ import annotations

import pytest

from sinkside.desk import accounts, credentials, signing_in
from sinkside.desk.passwords import token_digest
from sinkside.desk.signing_in import SessionState, Shown, Timeouts
from sinkside.errors import NotAllowed
from support.desk_house import BADGE_KEY, PHRASE, House

PIN = "739105"


def _refusal(house: House, name: str, password: str) -> str:
    with pytest.raises(NotAllowed) as refused:
        house.sign_in(name, password)
    return refused.value.message


@pytest.mark.parametrize("what", ["password", "pin"])
def test_wrong_tries_at_ones_own_password_wait_too(house: House, what: str) -> None:
    """Who finds a screen open does not guess on for ever; after the wait the right one works."""

    def attempt(password: str) -> None:
        if what == "pin":
            credentials.set_pin(
                house.archive, house.visitor("eve"), password=password, pin=PIN, now=house.now
            )
        else:
            credentials.change_password(
                house.archive, house.visitor("eve"), old=password, new="four other words here", now=house.now
            )

    for _ in range(5):
        with pytest.raises(NotAllowed, match="present password"):
            attempt("wrong wrong wrong")
    with pytest.raises(NotAllowed, match="too many tries"):
        attempt(PHRASE)
    with pytest.raises(NotAllowed, match="too many tries"):
        house.sign_in("eve")
    house.later(minutes=2)
    attempt(PHRASE)


def test_the_answer_does_not_tell_whether_the_name_exists(house: House) -> None:
    """A wrong name, a wrong password and a shut account are answered alike."""
    accounts.set_disabled(
        house.archive, house.visitor("ada"), house.people["uma"], disabled=True, now=house.now
    )
    said = {
        _refusal(house, "nobody", PHRASE),
        _refusal(house, "tom", "not this one, no"),
        _refusal(house, "uma", PHRASE),
    }
    assert len(said) == 1


@pytest.mark.parametrize("name", ["tom", "nobody"])
def test_after_five_failures_a_name_waits(house: House, name: str) -> None:
    """The sixth try within a minute is refused, whether the name exists or not; a minute later it is not."""
    first = [_refusal(house, name, "not this one, no") for _ in range(5)]
    assert "wait" in _refusal(house, name, PHRASE)
    house.later(seconds=61)
    assert (_refusal(house, name, "not this one, no")) == first[0]


def test_the_wait_grows(house: House) -> None:
    """After ten failures a minute is not enough any more."""
    for _ in range(2):
        for _ in range(5):
            _refusal(house, "tom", "not this one, no")
        house.later(seconds=61)
    assert "15 min" in _refusal(house, "tom", PHRASE)


def test_one_address_cannot_try_many_names(house: House) -> None:
    """Thirty failures from an address within a minute stop it for every name."""
    for number in range(30):
        _refusal(house, f"name-{number}", "not this one, no")
    assert "wait" in _refusal(house, "tom", PHRASE)
    assert house.sign_in("tom", address="10.0.0.2").person == house.people["tom"]


def test_success_clears_the_failures_of_a_name(house: House) -> None:
    """Four slips, then the right password, then four slips again: no wait."""
    for _ in range(2):
        for _ in range(4):
            _refusal(house, "tom", "not this one, no")
        assert house.sign_in("tom").person == house.people["tom"]


def test_only_digests_of_tokens_are_kept(house: House) -> None:
    """Whoever reads the store finds no token that opens a session."""
    signed = house.sign_in("tom")
    assert signed.token not in repr(house.archive)


def test_a_session_ends_by_idleness_and_by_age(house: House) -> None:
    """A session is gone after half an hour unused, and after twelve hours however much it is used."""
    token = house.sign_in("tom").token
    house.later(minutes=29)
    assert signing_in.present(house.archive, token=token, now=house.now) is not None
    house.later(minutes=29)
    assert signing_in.present(house.archive, token=token, now=house.now) is not None
    house.later(minutes=31)
    assert signing_in.present(house.archive, token=token, now=house.now) is None
    token = house.sign_in("tom").token
    for _ in range(24):
        house.later(minutes=29)
        signing_in.present(house.archive, token=token, now=house.now)
    house.later(minutes=25)
    assert signing_in.present(house.archive, token=token, now=house.now) is None


def test_signing_out_ends_one_session_and_ending_all_ends_all(house: House) -> None:
    """Signing out leaves the other devices alone; ending all leaves none."""
    one, other = house.sign_in("tom").token, house.sign_in("tom").token
    signing_in.sign_out(house.archive, token=one, now=house.now)
    assert signing_in.present(house.archive, token=one, now=house.now) is None
    assert signing_in.present(house.archive, token=other, now=house.now) is not None
    signing_in.end_my_sessions(house.archive, house.visitor("tom"), now=house.now)
    assert signing_in.present(house.archive, token=other, now=house.now) is None


def test_a_form_without_the_sessions_token_does_not_fit(house: House) -> None:
    """The token of one session does not fit another."""
    one, other = house.sign_in("tom"), house.sign_in("tom")
    there = signing_in.present(house.archive, token=one.token, now=house.now)
    assert there is not None
    assert signing_in.csrf_fits(there.session, one.csrf)
    assert not signing_in.csrf_fits(there.session, other.csrf)
    assert not signing_in.csrf_fits(there.session, "\udc80")


def _shown_again(house: House, token: str, shown: Shown) -> signing_in.SignedIn:
    return signing_in.identify_again(
        house.archive, token=token, shown=shown, badge_key=BADGE_KEY, address="10.0.0.9", now=house.now
    )


def test_a_badge_or_pin_says_who_is_at_a_shared_tablet(house: House) -> None:
    """Tom shows his badge, then Eve her PIN, on Ada's tablet; each session ends the one before."""
    credentials.set_badge(
        house.archive,
        house.visitor("ada"),
        house.people["tom"],
        badge="0042",
        badge_key=BADGE_KEY,
        now=house.now,
    )
    credentials.set_pin(house.archive, house.visitor("eve"), password=PHRASE, pin=PIN, now=house.now)
    opened = house.sign_in("ada", tablet=True)
    tom = _shown_again(house, opened.token, Shown(badge="0042"))
    assert tom.person == house.people["tom"]
    assert signing_in.present(house.archive, token=opened.token, now=house.now) is None
    eve = _shown_again(house, tom.token, Shown(name="eve", pin=PIN))
    assert eve.person == house.people["eve"]
    with pytest.raises(NotAllowed):
        _shown_again(house, eve.token, Shown(name="eve", pin="739106"))


def test_an_idle_tablet_still_knows_badges_until_its_day_is_over(house: House) -> None:
    """Left alone, a tablet asks who is there; after twelve hours it wants a password."""
    credentials.set_pin(house.archive, house.visitor("tom"), password=PHRASE, pin=PIN, now=house.now)
    token = house.sign_in("ada", tablet=True).token
    house.later(minutes=10)
    assert signing_in.present(house.archive, token=token, now=house.now) is None
    token = _shown_again(house, token, Shown(name="tom", pin=PIN)).token
    house.later(hours=11, minutes=55)
    with pytest.raises(NotAllowed, match="opened again"):
        _shown_again(house, token, Shown(name="tom", pin=PIN))


def test_an_ordinary_session_is_no_shared_tablet(house: House) -> None:
    """Badge and PIN open nothing where no password opened a shared tablet."""
    token = house.sign_in("ada").token
    with pytest.raises(NotAllowed, match="no shared tablet"):
        _shown_again(house, token, Shown(badge="0042"))


def test_the_state_of_a_session_is_told(house: House) -> None:
    """A tablet's session is active, then idle, then over."""
    token = house.sign_in("ada", tablet=True).token
    with house.archive.unit(writes=False) as unit:
        session = unit.people.session(token_digest(token))
    assert session is not None
    told = [signing_in.state_of(session, house.later(hours=hours), Timeouts()) for hours in (0, 1, 11)]
    assert told == [SessionState.active, SessionState.idle, SessionState.over]

"""People: who may come in, how they prove who they are, and that somebody stays owner."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta

import argon2
import pytest
from sqlalchemy import select, text

from driploop.store import NotThereError, Person, Store, StoreError, people, records
from driploop.store import passwords as kept_passwords
from driploop.store.tables import attempts, invitations, sessions
from driploop.store.tables import people as rows

HASHER = type(argon2.PasswordHasher())
WORD = "a long enough word"


def work(monkeypatch: pytest.MonkeyPatch, rounds: int) -> None:
    """Set how much work a password is made to cost."""
    monkeypatch.setattr(argon2, "PasswordHasher", lambda: HASHER(time_cost=rounds, memory_cost=64, parallelism=1))


@pytest.fixture
def owner(store: Store) -> Person:
    return people.add_person(store, name="Ada Quill", sign_in=" Ada ", password=WORD, role="owner")


@pytest.fixture
def crew(store: Store, owner: Person) -> Person:
    return people.add_person(store, name="Ben Fern", sign_in="ben", password=WORD, role="crew")


def later(monkeypatch: pytest.MonkeyPatch, by: timedelta) -> None:
    """Move the clock on."""
    moment = records.now() + by
    monkeypatch.setattr(people, "now", lambda: moment)


def try_in(store: Store, name: str, password: str, place: str = "10.0.0.1") -> tuple[Person, str] | None:
    return people.sign_in(store, name=name, password=password, place=place)


def test_there_is_nobody_and_no_password_at_the_beginning(store: Store) -> None:
    assert people.everybody(store) == ()
    assert try_in(store, "admin", "admin") is None
    assert try_in(store, "", "") is None


def test_a_person_signs_in_by_name_whatever_its_case_and_nothing_else(store: Store, owner: Person) -> None:
    found = try_in(store, "ADA", WORD)
    assert found
    assert found[0] == owner
    session = people.session_of(store, found[1])
    assert session
    assert (session.person, len(session.form_key) > 20) == (owner, True)
    for name, password in (
        ("ada", WORD + "x"),
        ("ada", ""),
        ("ben", WORD),
        ("ada", WORD.upper()),
        ("ada\0", "x" * 5000),
    ):
        assert try_in(store, name, password) is None


def test_passwords_are_kept_by_argon2_only_and_sessions_by_digest_only(store: Store, owner: Person) -> None:
    found = try_in(store, "ada", WORD)
    assert found
    with store.reading() as connection:
        kept = connection.execute(select(rows.c.password)).scalar_one()
        digest = connection.execute(select(sessions.c.digest)).scalar_one()
    assert kept.startswith("$argon2id$")
    assert WORD not in kept
    assert found[1] not in digest
    assert people.session_of(store, digest) is None


@pytest.mark.parametrize(
    ("password", "told"),
    [("", "0 signs"), ("short", "give it 10"), ("x" * 12, "over and over"), ("Ada Quill  ", "is the name"),
     ("y1" * 600, "at most 1000")],
)  # fmt: skip
def test_a_weak_password_is_refused_in_words(store: Store, password: str, told: str) -> None:
    with pytest.raises(StoreError, match=told):
        people.add_person(store, name="Ada Quill", sign_in="ada", password=password, role="owner")
    assert people.everybody(store) == ()


def test_a_password_of_any_signs_can_be_used(store: Store) -> None:
    odd = "Grüße \ud800 \0 длинный"
    people.add_person(store, name="Ada", sign_in="ada", password=odd, role="owner")
    assert try_in(store, "ada", odd)


@pytest.mark.parametrize(("name", "sign_in"), [("", "ada"), ("Ada", " "), ("Ada", "a\nb"), ("A" * 121, "ada")])
def test_a_name_that_is_none_is_refused(store: Store, name: str, sign_in: str) -> None:
    with pytest.raises(StoreError, match=r"[Nn]ame"):
        people.add_person(store, name=name, sign_in=sign_in, password=WORD, role="owner")


def test_a_name_is_taken_once_and_a_role_is_one_of_three(store: Store, owner: Person) -> None:
    with pytest.raises(StoreError, match="taken already"):
        people.add_person(store, name="Other", sign_in="ADA", password=WORD, role="crew")
    with pytest.raises(StoreError, match="owner, crew, view"):
        people.add_person(store, name="Other", sign_in="other", password=WORD, role="boss")
    with pytest.raises(StoreError, match="owner, crew, view"):
        people.invite(store, role="boss", by=owner.id)
    with pytest.raises(StoreError, match="owner, crew, view"):
        people.change_person(store, owner.id, role="boss")


def test_the_first_person_is_the_owner(store: Store) -> None:
    with pytest.raises(StoreError, match="first person is the owner"):
        people.add_person(store, name="Ben", sign_in="ben", password=WORD, role="crew")


def test_the_last_owner_stays(store: Store, owner: Person, crew: Person) -> None:
    for take in (
        lambda: people.change_person(store, owner.id, role="crew"),
        lambda: people.change_person(store, owner.id, active=False),
        lambda: people.remove_person(store, owner.id),
    ):
        with pytest.raises(StoreError, match="stay owner"):
            take()
    people.change_person(store, crew.id, role="owner")
    assert people.change_person(store, owner.id, role="view").role == "view"
    people.remove_person(store, owner.id)
    assert [person.id for person in people.everybody(store)] == [crew.id]


def test_two_owners_cannot_let_each_other_go_at_once(store: Store, owner: Person, crew: Person) -> None:
    people.change_person(store, crew.id, role="owner")

    def let_go(id: str) -> bool:
        try:
            people.change_person(store, id, active=False)
        except StoreError:
            return False
        return True

    with ThreadPoolExecutor(2) as pool:
        done = list(pool.map(let_go, [owner.id, crew.id]))
    assert sorted(done) == [False, True]
    assert sum(person.active for person in people.everybody(store)) == 1


def test_who_is_let_go_is_signed_out_and_cannot_come_back_by_an_invitation(store: Store, owner: Person) -> None:
    other = people.add_person(store, name="Cal", sign_in="cal", password=WORD, role="owner")
    word = people.new_session(store, other.id)
    invitation = people.invite(store, role="owner", by=other.id)
    people.change_person(store, other.id, active=False)
    assert people.session_of(store, word) is None
    assert try_in(store, "cal", WORD) is None
    with pytest.raises(NotThereError):
        people.accept(store, invitation, name="Cal again", sign_in="cal2", password=WORD)
    with pytest.raises(NotThereError):
        people.new_session(store, other.id)
    people.change_person(store, other.id, active=True)
    assert try_in(store, "cal", WORD)


def test_a_removed_person_is_gone_with_sessions_and_invitations(store: Store, owner: Person, crew: Person) -> None:
    word = people.new_session(store, crew.id)
    people.invite(store, role="view", by=crew.id)
    people.remove_person(store, crew.id)
    assert people.session_of(store, word) is None
    assert people.open_invitations(store) == ()
    for ask in (
        lambda: people.remove_person(store, crew.id),
        lambda: people.change_person(store, crew.id, role="view"),
        lambda: people.set_password(store, crew.id, WORD),
        lambda: people.new_session(store, crew.id),
    ):
        with pytest.raises(NotThereError):
            ask()


def test_a_new_password_signs_out_everywhere(store: Store, owner: Person) -> None:
    word = people.new_session(store, owner.id)
    people.set_password(store, owner.id, "another long word")
    assert people.session_of(store, word) is None
    assert try_in(store, "ada", WORD) is None
    assert try_in(store, "ada", "another long word")


def test_a_password_kept_with_less_work_is_kept_anew_at_sign_in(
    store: Store, owner: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    work(monkeypatch, 2)
    assert try_in(store, "ada", WORD)
    with store.reading() as connection:
        assert "t=2" in connection.execute(select(rows.c.password)).scalar_one()
    assert try_in(store, "ada", WORD)


def test_a_session_ends_by_signing_out_and_by_time(
    store: Store, owner: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = people.new_session(store, owner.id), people.new_session(store, owner.id)
    people.sign_out(store, first)
    assert people.session_of(store, first) is None
    assert people.session_of(store, second)
    later(monkeypatch, people.SESSION - timedelta(minutes=1))
    assert people.session_of(store, second)
    later(monkeypatch, people.SESSION + timedelta(minutes=1))
    assert people.session_of(store, second) is None
    people.new_session(store, owner.id)
    with store.reading() as connection:  # what has ended is swept out
        assert len(connection.execute(select(sessions.c.digest)).all()) == 1


def test_an_invitation_makes_one_account_once(store: Store, owner: Person) -> None:
    word = people.invite(store, role="crew", by=owner.id)
    assert people.invited_role(store, word) == "crew"
    [listed] = people.open_invitations(store)
    assert (listed.role, listed.by) == ("crew", owner.id)
    assert word not in str(listed)
    person = people.accept(store, word, name="Ben", sign_in="ben", password=WORD)
    assert person.role == "crew"
    for ask in (
        lambda: people.invited_role(store, word),
        lambda: people.accept(store, word, name="Cal", sign_in="cal", password=WORD),
        lambda: people.invited_role(store, listed.id),
    ):
        with pytest.raises(NotThereError):
            ask()
    assert len(people.everybody(store)) == 2


def test_an_invitation_used_by_many_at_once_lets_one_in(store: Store, owner: Person) -> None:
    word = people.invite(store, role="crew", by=owner.id)

    def come(number: int) -> bool:
        try:
            people.accept(store, word, name=f"P{number}", sign_in=f"p{number}", password=WORD)
        except NotThereError:
            return False
        return True

    with ThreadPoolExecutor(5) as pool:
        assert sum(pool.map(come, range(5))) == 1
    assert len(people.everybody(store)) == 2


def test_an_invitation_outlives_a_bad_answer_but_not_its_time(
    store: Store, owner: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    word = people.invite(store, role="crew", by=owner.id)
    for sign_in, password in (("ada", WORD), ("ben", "short")):
        with pytest.raises(StoreError):
            people.accept(store, word, name="Ben", sign_in=sign_in, password=password)
    assert people.invited_role(store, word) == "crew"
    later(monkeypatch, people.INVITATION + timedelta(seconds=1))
    with pytest.raises(NotThereError):
        people.accept(store, word, name="Ben", sign_in="ben", password=WORD)
    assert people.open_invitations(store) == ()


def test_an_invitation_can_be_taken_back(store: Store, owner: Person) -> None:
    word = people.invite(store, role="crew", by=owner.id)
    people.withdraw(store, people.open_invitations(store)[0].id)
    with pytest.raises(NotThereError):
        people.invited_role(store, word)
    with pytest.raises(NotThereError):
        people.withdraw(store, "0" * 64)
    with store.reading() as connection:
        assert connection.execute(select(invitations)).all() == []


def test_tries_of_one_name_are_counted_wherever_they_come_from(
    store: Store, owner: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(people.TRIES):
        assert try_in(store, "ada", "wrong word here", place=f"10.0.0.{number}") is None
    with pytest.raises(StoreError, match="Wait 15 min"):
        try_in(store, "ada", WORD, place="10.9.9.9")
    later(monkeypatch, people.TRIES_WITHIN + timedelta(seconds=1))
    assert try_in(store, "ada", WORD)


def test_tries_from_one_place_are_counted_whatever_the_name(store: Store, owner: Person) -> None:
    for number in range(people.TRIES_OF_PLACE):
        try_in(store, f"name{number}", "wrong word here")
    with pytest.raises(StoreError, match="Too many tries"):
        try_in(store, "ada", WORD)
    assert try_in(store, "ada", WORD, place="10.9.9.9")


def test_a_right_password_clears_the_count(store: Store, owner: Person) -> None:
    for _ in range(3):
        for _ in range(people.TRIES - 1):
            try_in(store, "ada", "wrong word here", place="10.0.0.2")
        assert try_in(store, "ada", WORD, place="10.0.0.3")


def test_many_tries_at_once_are_counted_too(store: Store, owner: Person) -> None:
    def guess(number: int) -> bool:
        try:
            try_in(store, "ada", f"guess number {number}", place=f"10.0.1.{number}")
        except StoreError:
            return False
        return True

    with ThreadPoolExecutor(6) as pool:
        assert sum(pool.map(guess, range(24))) == people.TRIES


def test_tries_are_kept_without_what_was_typed(store: Store, owner: Person) -> None:
    try_in(store, "a password typed as the name", "x")
    with store.reading() as connection:
        kept = connection.execute(select(attempts.c.what)).scalars().all()
    assert kept
    assert not any("password" in what for what in kept)
    assert {len(what) for what in kept} == {64}


def test_a_name_that_is_not_there_costs_the_same_work(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    worked: list[str | None] = []
    monkeypatch.setattr(people, "matches", lambda kept, _: worked.append(kept) is not None)
    try_in(store, "nobody", "x")
    assert worked == [kept_passwords.nobodys()]


def test_roles_are_held_by_the_database_too(store: Store, owner: Person) -> None:
    from sqlalchemy.exc import IntegrityError

    with pytest.raises(IntegrityError), store.writing() as connection:
        connection.execute(text("UPDATE people SET role = 'boss'"))
    assert isinstance(records.now(), datetime)

"""Getting into the office and out of it: passwords, one-time codes, sessions, how fast somebody may guess."""

import json
import re
from collections.abc import Callable
from datetime import datetime, timedelta

import pyotp
import pytest
from flask.testing import FlaskClient
from sqlalchemy import select
from werkzeug.security import check_password_hash
from werkzeug.test import TestResponse

from helpers import NOW, PASSWORD, Site, cookie_of, found_in, log_in, send, start_again, token
from seamwalk.errors import Conflict
from seamwalk.store.access import accounts, office_sessions, passwords
from seamwalk.store.tables import Account, OfficeSession
from seamwalk.web.throttle import (
    FORGOTTEN_AFTER,
    MAX_KEPT,
    Budget,
    Throttle,
    code_budgets,
    network_of,
    password_budgets,
)

LOGIN, CODE, ACCOUNT = "/office/login", "/office/login/code", "/office/account"
HOME = "/office/"


def try_in(
    site: Site, login: str, password: str, address: str = "192.0.2.1", client: FlaskClient | None = None
) -> TestResponse:
    """One try from an address, from a browser that was never here or from `client`."""
    client = client or site.app.test_client()
    client.environ_base["REMOTE_ADDR"] = address
    return send(client, LOGIN, login=login, password=password)


def turn_codes_on(client: FlaskClient, site: Site) -> tuple[pyotp.TOTP, list[str]]:
    page = client.get(f"{ACCOUNT}/codes").text
    totp = pyotp.parse_uri(found_in(page, r'href="(otpauth:[^"]+)"')[1].replace("&amp;", "&"))
    assert isinstance(totp, pyotp.TOTP)
    fields = {"code": totp.at(site.clock[0]), "password": PASSWORD, "csrf_token": token(page)}
    answer = client.post(f"{ACCOUNT}/codes", data=fields)
    codes = re.findall(r'<code class="code">([A-Z2-7-]+)</code>', answer.text)
    assert len(codes) == 8
    return totp, codes


def is_in(client: FlaskClient) -> bool:
    return client.get(HOME).status_code == 200


# --- passwords


@pytest.mark.parametrize(
    ("password", "said"),
    [
        ("short", "12 to 128 characters"),
        ("x" * 129, "12 to 128 characters"),
        ("long password", "guessed early"),
        ("qwertyuiop12", "guessed early"),
        ("annaannaanna", "guessed early"),
        ("seamwalk2026", "guessed early"),
        ("aaaaaaaaaaaaaaaaaaaaaaaa", "guessed early"),
        ("twelve\x00chars and", "cannot be typed"),
        ("lone \ud800 surrogate here", "cannot be typed"),
    ],
)
def test_a_weak_password_is_refused(password: str, said: str) -> None:
    with pytest.raises(Conflict, match=said):
        passwords.check_new_password(password, "anna")


def test_what_looks_the_same_is_the_same_password() -> None:
    composed, apart = "stra\u00dfe k\u00f6nnte mehr", "stra\u00dfe ko\u0308nnte mehr"
    assert passwords.verifies(passwords.new_hash(composed), apart, old_ones_are_left=False)


def test_passwords_are_hashed_by_argon2id(site: Site) -> None:
    with site.store.read() as session:
        for account in session.scalars(select(Account)):
            assert account.password_hash.startswith("$argon2id$")


def test_a_login_that_there_is_not_gets_the_same_answer_after_the_same_work(
    site: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []

    def count(name: str, verify: Callable[[str, str], bool]) -> Callable[[str, str], bool]:
        def counted(first: str, second: str) -> bool:
            done.append(name)
            return verify(first, second)

        return counted

    monkeypatch.setattr(passwords, "_verifies_argon2", count("argon2", passwords._verifies_argon2))
    monkeypatch.setattr(passwords, "check_password_hash", count("scrypt", check_password_hash))
    answers: list[tuple[int, str]] = []
    hashes: list[str]
    for hashes in ([], ["scrypt"]):
        for login in ("anna", "nobody", "wim", "x" * 60):
            done.clear()
            answer = try_in(site, login, "not the password of it", address=f"192.0.2.{len(answers)}")
            assert sorted(done) == ["argon2", *hashes]
            answers.append((answer.status_code, re.sub(r'value="[^"]*"', "", answer.text)))
        with site.store.write() as session:
            session.get_one(Account, "wim").password_hash = passwords._OLD_DUMMY
    assert (
        len({answer for answer in answers if "at most" not in answer[1] and "longer" not in answer[1]}) == 1
    )


def test_a_new_password_ends_the_other_sessions(site: Site) -> None:
    here, there = log_in(site), log_in(site)
    path = f"{ACCOUNT}/password"
    assert (
        "not the password" in send(here, path, password="not it", new_password="otter blue quick mast").text
    )
    assert "guessed early" in send(here, path, password=PASSWORD, new_password="password1234").text
    assert is_in(there)
    assert send(here, path, password=PASSWORD, new_password="otter blue quick mast").status_code == 302
    assert is_in(here)
    assert not is_in(there)
    assert try_in(site, "anna", PASSWORD).status_code == 200
    assert try_in(site, "anna", "otter blue quick mast").status_code == 302


# --- sessions


def test_logging_out_ends_the_session_on_the_server(site: Site) -> None:
    client = log_in(site)
    cookie = cookie_of(client, "seamwalk_office")
    assert client.post("/office/logout").status_code == 403
    assert is_in(client)
    page = client.get(HOME).text
    assert client.post("/office/logout", data={"csrf_token": token(page)}).status_code == 302
    thief = site.app.test_client()
    thief.set_cookie("seamwalk_office", cookie)
    assert not is_in(thief)


def test_what_was_typed_is_kept_where_the_login_had_ended(site: Site) -> None:
    client = log_in(site)
    path = "/office/shows/test-show/contacts"
    fields = {"csrf_token": token(client.get(path).text), "lines": "Jo Lind, rigger <b>", "password": "heron"}
    with site.store.write() as session:
        office_sessions.end_all(session, "anna")
    answer = client.post(path, data=fields)
    assert answer.status_code == 401
    assert "Jo Lind, rigger &lt;b&gt;" in answer.text
    assert "heron" not in answer.text
    assert fields["csrf_token"] not in answer.text
    assert client.get(path).headers["Location"].startswith(LOGIN)


def test_a_new_password_is_another_one(site: Site) -> None:
    client, path = log_in(site), f"{ACCOUNT}/password"
    page = send(client, path, password=PASSWORD, new_password=PASSWORD).text
    assert "That is the current password" in page
    page = send(client, path, password="not this one", new_password="heron quiet lamp dry").text
    assert "That is not the password of this login" in page
    assert "let an admin" not in page


def test_a_cookie_from_before_the_login_is_worth_nothing_after_it(site: Site) -> None:
    client = site.app.test_client()
    page = client.get(LOGIN).text
    before = cookie_of(client, "seamwalk_office")
    data = {"login": "anna", "password": PASSWORD, "csrf_token": token(page)}
    assert client.post(LOGIN, data=data).status_code == 302
    assert cookie_of(client, "seamwalk_office") != before
    fixed = site.app.test_client()
    fixed.set_cookie("seamwalk_office", before)
    assert not is_in(fixed)
    assert client.post("/office/shows/new", data=data | {"title": "T", "slug": "t"}).status_code == 200


def test_sessions_are_listed_and_each_can_be_ended(site: Site) -> None:
    here, phone, third, other = log_in(site), log_in(site), log_in(site), log_in(site, "wim")
    page = here.get(ACCOUNT).text
    assert page.count("Logged in Fri 20 Nov 2026, 22:00 UTC") == 3
    ends = re.findall(r'action="(/office/account/sessions/[0-9a-f]{64}/end)"', page)
    assert len(ends) == 2
    assert here.post(ends[0]).status_code == 403
    theirs = other.get(ACCOUNT).text
    assert other.post(ends[0], data={"csrf_token": token(theirs)}).status_code == 302
    assert [is_in(client) for client in (here, phone, third)] == [True, True, True]
    assert here.post(ends[0], data={"csrf_token": token(page)}).status_code == 302
    assert sorted(is_in(client) for client in (phone, third)) == [False, True]
    answer = here.post(f"{ACCOUNT}/sessions/end-others", data={"csrf_token": token(page)})
    assert answer.status_code == 302
    assert [is_in(client) for client in (here, phone, third, other)] == [True, False, False, True]


def test_a_session_ends_without_use_and_after_its_time(site: Site) -> None:
    idle, busy = log_in(site), log_in(site)
    hours = 0
    while is_in(busy):
        hours += 6
        site.clock[0] = NOW + timedelta(hours=hours)
        if hours == 12:
            assert not is_in(idle)
    assert hours == 7 * 24
    log_in(site)
    with site.store.read() as session:
        assert len(session.scalars(select(OfficeSession)).all()) == 1


def test_a_session_survives_a_start_and_a_removed_login_does_not(site: Site) -> None:
    client = log_in(site)
    cookie = cookie_of(client, "seamwalk_office")
    again = start_again(site)
    kept = again.app.test_client()
    kept.set_cookie("seamwalk_office", cookie)
    assert is_in(kept)
    with again.store.write() as session:
        accounts.remove_account(session, "anna")
    assert not is_in(kept)
    again.store.engine.dispose()


def test_one_login_has_so_many_sessions_and_no_more(site: Site) -> None:
    with site.store.write() as session:
        tokens = []
        for minute in range(office_sessions.MAX_PER_LOGIN + 3):
            at = NOW + timedelta(minutes=minute)
            tokens.append(office_sessions.begin(session, "anna", "x\x00y" * 200, at))
        live = [office_sessions.find(session, one, at) is not None for one in tokens]
    assert live == [False] * 3 + [True] * office_sessions.MAX_PER_LOGIN


# --- one-time codes


def test_with_one_time_codes_a_password_alone_lets_nobody_in(site: Site) -> None:
    client = log_in(site)
    assert "off" in client.get(ACCOUNT).text
    totp, _ = turn_codes_on(client, site)
    with site.store.read() as session:
        assert totp.secret not in str(session.get_one(Account, "anna").totp)
    site.clock[0] += timedelta(minutes=5)
    other = site.app.test_client()
    answer = try_in(site, "anna", PASSWORD, client=other)
    assert answer.headers["Location"] == CODE
    assert not is_in(other)
    assert "is wrong" in send(other, CODE, code="000000").text
    code = totp.at(site.clock[0])
    assert send(other, CODE, code=f"{code[:3]} {code[3:]}").status_code == 302
    assert is_in(other)
    third = site.app.test_client()
    try_in(site, "anna", PASSWORD, client=third)
    assert "was used before" in send(third, CODE, code=code).text
    assert not is_in(third)


def test_the_second_step_needs_the_first_and_does_not_wait_for_ever(site: Site) -> None:
    totp, _ = turn_codes_on(log_in(site), site)
    assert site.app.test_client().get(CODE).headers["Location"] == LOGIN
    client = site.app.test_client()
    try_in(site, "anna", PASSWORD, client=client)
    page = client.get(CODE).text
    with site.store.write() as session:
        accounts.set_password(session, "anna", passwords.new_hash("otter blue quick mast"))
    site.clock[0] += timedelta(minutes=2)
    data = {"code": totp.at(site.clock[0]), "csrf_token": token(page)}
    assert "password is wrong" in client.post(CODE, data=data).text
    site.clock[0] += timedelta(minutes=4)
    assert client.get(CODE).headers["Location"] == LOGIN


def test_a_recovery_code_is_good_once_and_however_it_is_typed(site: Site) -> None:
    here = log_in(site)
    _, codes = turn_codes_on(here, site)
    typed = codes[3].replace("-", " ").lower()
    for expected in (302, 200):
        client = site.app.test_client()
        try_in(site, "anna", PASSWORD, client=client)
        assert send(client, CODE, code=typed).status_code == expected
    assert "Recovery codes left: 7" in here.get(ACCOUNT).text
    with site.store.read() as session:
        assert codes[0] not in json.dumps(session.get_one(Account, "anna").recovery)
    renewed = send(here, f"{ACCOUNT}/codes/recovery", password=PASSWORD).text
    assert codes[0] not in renewed
    assert renewed.count('<code class="code">') == 8
    client = site.app.test_client()
    try_in(site, "anna", PASSWORD, client=client)
    assert send(client, CODE, code=codes[0]).status_code == 200


def test_codes_are_turned_off_with_the_password_only(site: Site) -> None:
    client, other = log_in(site), log_in(site)
    turn_codes_on(client, site)
    assert not is_in(other)
    path = f"{ACCOUNT}/codes/off"
    assert "not the password" in send(client, path, password="not it").text
    assert "They are on" in client.get(ACCOUNT).text
    assert send(client, path, password=PASSWORD).status_code == 302
    assert "They are off" in client.get(ACCOUNT).text
    assert try_in(site, "anna", PASSWORD).headers["Location"] == HOME


def test_without_the_wrapping_key_a_recovery_code_still_lets_in(site: Site) -> None:
    totp, codes = turn_codes_on(log_in(site), site)
    key = site.app.extensions["seamwalk"].settings.key_file
    key.rename(key.with_name("kept.key"))
    again = start_again(site)
    again.clock[0] += timedelta(minutes=1)
    client = again.app.test_client()
    try_in(again, "anna", PASSWORD, client=client)
    assert "Type a recovery code" in send(client, CODE, code=totp.at(again.clock[0])).text
    assert send(client, CODE, code=codes[0]).status_code == 302
    assert is_in(client)
    again.store.engine.dispose()


# --- how fast somebody may guess


def test_strangers_do_not_lock_the_rightful_person_out(site: Site) -> None:
    known = log_in(site)
    for address in ("198.51.100.1", "198.51.100.2"):
        for _ in range(5):
            assert try_in(site, "anna", "wrong", address).status_code == 200
        for _ in range(3):
            assert try_in(site, "anna", PASSWORD, address).status_code == 429
    page = known.get(HOME).text
    known.post("/office/logout", data={"csrf_token": token(page)})
    assert try_in(site, "anna", PASSWORD, "198.51.100.1", known).status_code == 302
    assert try_in(site, "anna", PASSWORD, "203.0.113.7").status_code == 302
    assert try_in(site, "wim", PASSWORD, "198.51.100.1").status_code == 302


def test_who_has_to_wait_is_told_how_long_and_the_same_of_a_login_that_there_is_not(site: Site) -> None:
    told = []
    for login in ("anna", "nobody"):
        for _ in range(5):
            assert try_in(site, login, "wrong").status_code == 200
        answer = try_in(site, login, "wrong")
        assert answer.status_code == 429
        assert answer.headers["Retry-After"] == "2"
        told.append(answer.text.replace(login, ""))
    assert [re.sub(r'value="[^"]*"', "", text) for text in told] == [
        re.sub(r'value="[^"]*"', "", told[0])
    ] * 2
    assert "Wait 2 seconds" in told[0]
    site.clock[0] += timedelta(seconds=2)
    assert try_in(site, "anna", PASSWORD).status_code == 302
    assert try_in(site, "anna", "wrong").status_code == 200


def test_the_mark_of_a_known_browser_is_of_one_login_and_can_not_be_made(site: Site) -> None:
    known = log_in(site, "wim")
    for _ in range(5):
        try_in(site, "anna", "wrong", client=known)
    assert try_in(site, "anna", PASSWORD, client=known).status_code == 429
    forged = site.app.test_client()
    forged.set_cookie("seamwalk_known", cookie_of(known, "seamwalk_known")[:-3] + "abc")
    assert try_in(site, "anna", PASSWORD, client=forged).status_code == 429
    for _ in range(5):
        try_in(site, "wim", "wrong", client=known)
    assert try_in(site, "wim", PASSWORD, client=known).status_code == 429
    site.clock[0] += timedelta(seconds=10)
    assert try_in(site, "wim", PASSWORD, client=known).status_code == 302


def test_codes_are_guessed_slowly_too(site: Site) -> None:
    totp, _ = turn_codes_on(log_in(site), site)
    site.clock[0] += timedelta(minutes=5)
    for number in range(5):
        client = site.app.test_client()
        try_in(site, "anna", PASSWORD, f"198.51.100.{number}", client)
        assert send(client, CODE, code="000000").status_code == 200
    assert send(client, CODE, code=totp.at(site.clock[0])).status_code == 429


def spend(throttle: Throttle, budgets: list[Budget], now: datetime) -> int:
    """How many tries are free from now on."""
    for free in range(1000):
        try:
            throttle.charge(budgets, now)
        except Exception:
            return free
    raise AssertionError("nobody was told to wait")


def waits(budgets: list[Budget], tries: int) -> list[int]:
    """How long each next try has to wait, from the first that has to on."""
    throttle, now, found = Throttle(), NOW, []
    spend(throttle, budgets, now)
    for _ in range(tries):
        seconds = 0
        while spend(throttle, budgets, now + timedelta(seconds=seconds)) == 0:
            seconds += 1
        found.append(seconds)
        now += timedelta(seconds=seconds)
    return found


def test_the_waits_double_up_to_the_longest() -> None:
    stranger = password_budgets("anna", None, "192.0.2.1")
    assert waits(stranger, 10) == [2, 4, 8, 16, 32, 64, 128, 256, 512, 900]
    assert waits(password_budgets("anna", "b", None), 9) == [2, 4, 8, 16, 32, 64, 128, 256, 300]
    assert waits(code_budgets("anna", None), 10)[-1] == 900


def test_a_crew_behind_one_address_types_wrong_passwords_too() -> None:
    throttle = Throttle()
    for person in range(10):
        for _ in range(5):
            throttle.charge(password_budgets(f"p{person}", None, "192.0.2.1"), NOW)
    assert spend(throttle, password_budgets("p99", None, "192.0.2.1"), NOW) == 0
    assert spend(throttle, password_budgets("p99", None, "192.0.2.1"), NOW + timedelta(seconds=2)) == 1
    assert spend(throttle, password_budgets("p99", "known", "192.0.2.1"), NOW) == 5


def test_a_right_try_gives_back_what_it_was_charged() -> None:
    throttle, mine = Throttle(), password_budgets("anna", None, "192.0.2.1")
    for _ in range(200):
        throttle.charge(mine, NOW)
        throttle.give_back(mine)
    assert spend(throttle, mine, NOW) == 5


def test_a_day_without_a_try_is_forgotten() -> None:
    throttle, mine = Throttle(), password_budgets("anna", None, "192.0.2.1")
    assert spend(throttle, mine, NOW) == 5
    assert spend(throttle, mine, NOW + FORGOTTEN_AFTER) == 1
    assert spend(throttle, mine, NOW + 2 * FORGOTTEN_AFTER + timedelta(seconds=1)) == 5


def test_what_is_remembered_is_bounded() -> None:
    throttle = Throttle()
    for number in range(MAX_KEPT // 2 + 2000):
        throttle.charge(
            password_budgets(f"x{number}", None, f"2001:db8:{number >> 8:x}:{number & 255:x}::1"), NOW
        )
    assert len(throttle._spent) <= MAX_KEPT


@pytest.mark.parametrize(
    ("address", "network"),
    [
        ("192.0.2.1", "192.0.2.1"),
        ("::ffff:192.0.2.1", "192.0.2.1"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        ("fe80::1%eth0", "fe80::/64"),
        ("", "unknown"),
        (None, "unknown"),
        ("nonsense", "unknown"),
    ],
)
def test_what_counts_as_one_source(address: str | None, network: str) -> None:
    assert network_of(address) == network

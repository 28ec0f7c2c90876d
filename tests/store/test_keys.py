"""The books' private keys are wrapped: what a copy of the database gives away, and how it goes without."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from sqlalchemy import Engine, select, text

from helpers import NOW, RING, Site, client_of, logged_in, make_site, reopen_site, send, start_again
from seamwalk.book.jose import PrivateKey
from seamwalk.cli import main
from seamwalk.config import load_settings
from seamwalk.errors import KeyUnavailable
from seamwalk.store.engine import Store, copy_database, make_engine
from seamwalk.store.ledger.books import open_book, write_as_office
from seamwalk.store.ledger.keys import PURPOSES, keep_key, key_problems, private_key, unavailable_keys
from seamwalk.store.migrations import upgrade
from seamwalk.store.opening import open_store
from seamwalk.store.tables import Account, Key
from seamwalk.store.wrapping import WrappingKey, make_key_file, read_key_file
from seamwalk_demo.crew import SimulatedPhone

CALL = {"X-Seamwalk": "1"}


def key_file(site: Site) -> Path:
    found: Path = site.app.extensions["seamwalk"].settings.key_file
    return found


def reopened(site: Site) -> Store:
    """The store as it is found at the next start."""
    site.store.engine.dispose()
    url = site.app.extensions["seamwalk"].settings.database_url
    return open_store(make_engine(url), key_file(site), NOW)


def test_the_database_holds_no_readable_private_key(site: Site) -> None:
    with site.store.read() as session:
        for row in session.scalars(select(Key)):
            assert row.wrapped.startswith("1.")
            assert "PRIVATE" not in row.wrapped
        assert private_key(session, site.book, "owner").thumbprint == site.owner
        assert list(key_problems(session)) == []


def test_a_wrapped_key_opens_for_its_book_and_purpose_only(site: Site) -> None:
    with site.store.write() as session:
        owner, head = (session.get_one(Key, (site.book, purpose)) for purpose in ("owner", "head"))
        owner.wrapped, head.wrapped = head.wrapped, owner.wrapped
        for purpose in ("owner", "head"):
            with pytest.raises(KeyUnavailable, match="is damaged"):
                private_key(session, site.book, purpose)
        assert len(list(key_problems(session))) == 2
        session.rollback()


@pytest.mark.parametrize("place", range(0, 300, 7))
def test_a_changed_wrapped_text_does_not_open(place: int) -> None:
    key = WrappingKey(bytes(32))
    wrapped = key.wrap(PrivateKey.generate().to_pem(), "x")
    place = place % len(wrapped)
    changed = wrapped[:place] + ("A" if wrapped[place] != "A" else "B") + wrapped[place + 1 :]
    with pytest.raises(KeyUnavailable):
        key.unwrap(changed, "x")
    with pytest.raises(KeyUnavailable):
        key.unwrap(wrapped, "y")


def test_the_same_secret_is_never_wrapped_alike() -> None:
    key = WrappingKey(bytes(32))
    assert key.wrap("x", "y") != key.wrap("x", "y")


def test_a_key_that_is_none_of_the_books_is_told(site: Site) -> None:
    with site.store.write() as session:
        keep_key(session, site.book, "head", PrivateKey.generate())
        keep_key(session, site.book, "owner", PrivateKey.generate())
    with site.store.read() as session:
        said = list(key_problems(session))
    assert said == [
        f"test-show: its {purpose} key is not the one that the book names. Put the newest copy back."
        for purpose in ("owner", "head")
    ]


def plain_pems(engine: Engine) -> list[str]:
    """A database of before: its keys as they lay there, and one that was replaced and deleted."""
    upgrade(engine, "0011")
    pems = [PrivateKey.generate().to_pem() for _ in range(3)]
    with engine.begin() as connection:
        query = text("INSERT INTO books VALUES ('b0123456789abcdef', 's', 'show', 'T', 1, '{}', 'x')")
        connection.execute(query)
        query = text("INSERT INTO keys VALUES ('b0123456789abcdef', :purpose, :pem)")
        connection.execute(query, {"purpose": "owner", "pem": pems[0]})
        connection.execute(query, {"purpose": "head", "pem": pems[1]})
    with engine.begin() as connection:
        query = text("UPDATE keys SET pem = :pem WHERE purpose = 'head'")
        connection.execute(query, {"pem": pems[2]})
    return pems


def test_the_upgrade_wraps_what_lay_there_readable(database_url: str) -> None:
    engine = make_engine(database_url)
    owner, _, head = plain_pems(engine)
    with pytest.raises(KeyUnavailable):
        upgrade(engine)
    upgrade(engine, ring=RING)
    with Store(engine, RING).read() as session:
        for purpose, pem in zip(PURPOSES, (owner, head), strict=True):
            assert private_key(session, "b0123456789abcdef", purpose).to_pem() == pem
    engine.dispose()


def without_key(site: Site) -> Site:
    """The site after a start without its wrapping key."""
    site.store.engine.dispose()
    key_file(site).rename(key_file(site).with_name("kept.key"))
    return start_again(site)


def with_another_key(site: Site) -> Site:
    """The site after a start with a wrapping key that is not its own."""
    site.store.engine.dispose()
    key_file(site).rename(key_file(site).with_name("kept.key"))
    make_key_file(key_file(site))
    return start_again(site)


Reading = tuple[Site, SimulatedPhone]


@pytest.fixture(params=[without_key, with_another_key])
def reading(request: pytest.FixtureRequest, site: Site) -> Iterator[Reading]:
    """A site without its key, a phone of it and what the phone wants to send."""
    phone = site.phone()
    made: Site = request.param(site)
    client = made.app.test_client()
    client._cookies = client_of(phone)._cookies
    phone.client = client
    yield made, phone
    made.store.engine.dispose()


def put_back(site: Site) -> None:
    key_file(site).with_name("kept.key").replace(key_file(site))


def test_without_its_key_a_server_reads_and_takes_nothing_in(reading: Reading) -> None:
    site, phone = reading
    assert phone.sync() == []
    plan, file = phone.plan("A")
    phone.write("found", {"plan": plan, "checks": [file["checks"][0]["id"]], "result": "ok"}, NOW)
    body = {"after": phone.frontier.tree_size, "entries": [phone.pending[0].jws], "head": phone.head}
    path = f"/api/v1/books/{site.book}"
    answer = client_of(phone).post(f"{path}/sync", json=body, headers=CALL)
    assert (answer.status_code, answer.get_json()["error"]) == (503, "key_away")
    assert "seamwalk check" in answer.get_json()["remedy"]
    assert str(key_file(site)) not in answer.text
    assert int(answer.headers["Retry-After"]) > 0
    for call in (phone.client.put(f"{path}/blobs/{'0' * 64}", data=b"x", headers=CALL),):
        assert (call.status_code, call.json["error"]) == (503, "key_away")
    assert phone.client.post(f"{path}/sync", json=body | {"entries": []}, headers=CALL).status_code == 200
    put_back(site)
    assert phone.sync() == ["kept"]


def test_without_its_key_the_office_shows_it_and_refuses_changes(reading: Reading) -> None:
    site, _ = reading
    client = logged_in(site)
    page = client.get("/office/shows/test-show")
    assert page.status_code == 200
    assert "This server only reads." in page.text
    for path, fields in (
        ("/office/shows/new", {"title": "T", "slug": "t"}),
        ("/office/shows/test-show/invite", {"role": "crew", "hours": "2"}),
    ):
        answer = send(client, path, **fields)
        assert answer.status_code == 503
        assert "the wrapping key back" in answer.text
    with pytest.raises(KeyUnavailable), site.store.write() as session:
        open_book(session, kind="show", title="T", slug="later", now=NOW)
    put_back(site)
    assert "This server only reads." not in client.get("/office/shows/test-show").text
    assert send(client, "/office/shows/new", title="T", slug="later").status_code == 302


def test_a_missing_key_is_never_made_anew(reading: Reading) -> None:
    site, _ = reading
    here = key_file(site).read_bytes() if key_file(site).exists() else None
    store = reopened(site)
    with store.read() as session:
        assert unavailable_keys(session) is not None
    assert here == (key_file(site).read_bytes() if key_file(site).exists() else None)
    put_back(site)
    with store.write() as session:
        assert unavailable_keys(session) is None
        write_as_office(session, site.book, "entry_admitted", {"entry": "0" * 64, "reason": "x"}, NOW)
    store.engine.dispose()


def test_the_commands_say_which_key_is_missing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    site = make_site(tmp_path, f"sqlite:///{tmp_path / 'seamwalk.db'}")
    with site.store.write() as session:
        account = session.get_one(Account, "anna")
        account.totp = RING.wrap("A" * 32, "of another")
    site.store.engine.dispose()
    monkeypatch.setenv("SEAMWALK_DIR", str(tmp_path))
    assert main(["check"]) == 1
    assert "the one-time codes of login anna: wrapped under key" in capsys.readouterr().out
    (tmp_path / "wrapping.key").unlink()
    assert main(["check"]) == 1
    said = capsys.readouterr().out
    assert said.count(f"the wrapping key {tmp_path / 'wrapping.key'} cannot be read") == 1
    assert "Put back the wrapping key" in said
    for command in (["restore"], ["labels", "-o", str(tmp_path / "x.pdf")]):
        assert main(command) == 2
        assert "wrapping.key cannot be read" in capsys.readouterr().err
    for command in (["books"], ["export", "test-show", "-o", str(tmp_path / "book")], ["rebuild"]):
        assert main(command) == 0
    assert main(["verify", str(tmp_path / "book"), "--trust", site.owner]) == 0


def test_a_copy_goes_on_under_the_key_that_was_kept_beside_it(tmp_path: Path) -> None:
    site = make_site(tmp_path, f"sqlite:///{tmp_path / 'seamwalk.db'}")
    copy_database(site.store.engine, tmp_path / "copy.db")
    site.store.engine.dispose()
    again = reopen_site(site, tmp_path / "copy.db")
    with again.store.write() as session:
        assert list(key_problems(session)) == []
        write_as_office(session, site.book, "entry_admitted", {"entry": "0" * 64, "reason": "x"}, NOW)
    again.store.engine.dispose()


def test_where_the_key_lies(tmp_path: Path) -> None:
    folder, credentials, set_to = (tmp_path / name for name in ("data", "credentials", "set.key"))
    env = {"SEAMWALK_DIR": str(folder), "CREDENTIALS_DIRECTORY": str(credentials)}
    assert load_settings(env).key_file == folder / "wrapping.key"
    credentials.mkdir()
    make_key_file(credentials / "wrapping.key")
    assert load_settings(env).key_file == credentials / "wrapping.key"
    assert load_settings(env | {"SEAMWALK_KEY_FILE": str(set_to)}).key_file == set_to


@pytest.mark.parametrize(
    "content", [b"", b"nonsense", b"seamwalk-wrapping-key-1:", b"seamwalk-wrapping-key-1:AAAA", b"\xff" * 40]
)
def test_what_is_no_key_file_is_told(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "wrapping.key"
    path.write_bytes(content)
    with pytest.raises(KeyUnavailable, match="wrapping key"):
        read_key_file(path)
    make_key_file(path)
    assert path.read_bytes() == content


def test_two_that_start_at_once_make_one_key(tmp_path: Path) -> None:
    path = tmp_path / "wrapping.key"
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda _: make_key_file(path), range(8)))
    assert read_key_file(path).name == read_key_file(path).name
    assert [found.name for found in tmp_path.iterdir()] == ["wrapping.key"]

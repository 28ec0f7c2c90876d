"""What the code never does, read off the code, and what no token may be; asvs.yaml names the requirements."""

import ast
import hashlib
import hmac
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from helpers import NOW, Site, client_of, cookie_of
from seamwalk.book.jose import PrivateKey, PublicKey, base64url_encode, sha256_hex
from seamwalk.store.access.passwords import hash_password
from seamwalk.store.wrapping import KEY_BYTES
from seamwalk.web import create_app

ROOT = Path(__file__).parents[2]
SERVER = ROOT / "server" / "seamwalk"
PHONE = ROOT / "static" / "src"
CALL = {"X-Seamwalk": "1"}
MODULES = {path: ast.parse(path.read_text("utf-8")) for path in sorted(SERVER.rglob("*.py"))}


def imported(tree: ast.AST) -> set[str]:
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{name.name}" for name in node.names)}
    return found


def calls(tree: ast.AST) -> Iterator[tuple[str, ast.Call]]:
    """Every call by the last part of its name."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            named = node.func
            yield named.attr if isinstance(named, ast.Attribute) else getattr(named, "id", ""), node


def is_fixed(node: ast.expr) -> bool:
    """Whether a text is written in the code, and nothing is put into it."""
    return isinstance(node, ast.Constant | ast.Name | ast.Subscript | ast.IfExp)


NEVER_IMPORTED = {
    "random": "guessable numbers",
    "pickle": "code in data",
    "marshal": "code in data",
    "shelve": "code in data",
    "subprocess": "commands",
    "ctypes": "memory by hand",
    "telnetlib": "plain text on the wire",
    "ftplib": "plain text on the wire",
    "smtplib": "mail",
    "ldap": "directories",
    "requests": "calls to elsewhere",
    "httpx": "calls to elsewhere",
    "urllib.request": "calls to elsewhere",
    "http.client": "calls to elsewhere",
    "socket": "calls to elsewhere",
    "flask.render_template_string": "templates out of data",
    "jinja2.Template": "templates out of data",
    "markupsafe.Markup": "texts that are not escaped",
    "flask_cors": "other origins",
}


@pytest.mark.parametrize("name", NEVER_IMPORTED)
def test_the_server_never_imports(name: str) -> None:
    users = [
        path.relative_to(SERVER)
        for path, tree in MODULES.items()
        if any(used == name or used.startswith(f"{name}.") for used in imported(tree))
    ]
    assert len(MODULES) > 150
    assert users == []


def test_no_code_and_no_command_is_made_of_data() -> None:
    never = {
        "eval",
        "exec",
        "compile",
        "system",
        "popen",
        "__import__",
        "Markup",
        "from_string",
        "md5",
        "sha1",
    }
    found = [
        (path.name, name)
        for path, tree in MODULES.items()
        for name, call in calls(tree)
        # the built-in is a bare name; a pattern's and a statement's own are methods
        if name in never and not (name == "compile" and isinstance(call.func, ast.Attribute))
    ]
    assert found == []


def test_patterns_are_written_in_the_code() -> None:
    """No function puts a pattern together; what modules make of their constants is fixed."""
    for path, tree in MODULES.items():
        functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
        for _, call in (found for function in functions for found in calls(function)):
            if ast.unparse(call.func).startswith("re.") and call.args:
                assert not isinstance(call.args[0], ast.JoinedStr | ast.BinOp | ast.Call), path


# text that is put together of names which stand in the code beside it
OF_NAMES = {
    "ledger.py": "', '.join((repr(name) for name in TRUST_TYPES))",
    "opening.py": "f'SELECT 1 FROM {table} WHERE {column} IS NOT NULL LIMIT 1'",
}


def test_sql_is_never_put_together_of_data() -> None:
    """Statements are SQLAlchemy's; the few that are text are constants, or of names that the code holds."""
    fixed = 0
    for path, tree in MODULES.items():
        if "migrations" in path.parts or "sqlalchemy" not in path.read_text("utf-8"):
            continue
        for name, call in calls(tree):
            if name in ("text", "exec_driver_sql", "executescript") and call.args:
                at = f"{path.name}:{call.lineno}"
                of_names = OF_NAMES.get(path.name, "no such text") in ast.unparse(call)
                assert is_fixed(call.args[0]) or of_names, at
                fixed += 1
    assert fixed >= 5


CRYPTOGRAPHY = (
    "cryptography",
    "joserfc",
    "argon2",
    "hashlib",
    "secrets",
    "itsdangerous",
    "werkzeug.security",
)
_KINDS = "ECB|CBC|CTR|CFB|OFB|PKCS1v15|ARC4|DES|Blowfish|IDEA|MD5|SHA1|SHA224|Fernet|DSA|RSA"


def test_cryptography_is_from_known_libraries() -> None:
    for path, tree in MODULES.items():
        text, used = path.read_text("utf-8"), imported(tree)
        assert not used & {"Crypto", "nacl", "rsa", "ecdsa", "jwt", "jose", "bcrypt", "hmac", "M2Crypto"}, (
            path
        )
        if any(name.split(".")[0] in CRYPTOGRAPHY for name in used):
            hashes = set(re.findall(r"hashlib\.(\w+)", text))
            assert hashes <= {"sha256", "blake2b"}, path
            kinds = set(re.findall(rf"\b(?:{_KINDS})\b", "\n".join(sorted(used))))
            kinds |= {kind for name in used for kind in re.findall(rf"\.({_KINDS})$", name)}
            assert kinds <= ({"SHA1"} if path.name == "one_time_codes.py" else set()), path
    wrapping = next(path for path in MODULES if path.name == "wrapping.py").read_text("utf-8")
    assert "import AESGCM" in wrapping


@pytest.mark.usefixtures("costly_hashes")
def test_keys_and_hashes_are_strong_enough() -> None:
    """ASVS 5.0 appendix C: a curve of 256 bits is 128 of security; argon2id of t >= 3 has m >= 12 MiB."""
    key = PrivateKey.generate()
    assert (key.jwk["crv"], len(key.jwk["x"])) == ("P-256", 43)
    assert KEY_BYTES == 32
    _, kind, _, costs, *_ = hash_password("otter blue quick mast").split("$")
    given = {name: int(value) for name, value in (cost.split("=") for cost in costs.split(","))}
    assert kind == "argon2id"
    assert given["t"] >= 3
    assert given["m"] >= 12 * 1024
    assert len(sha256_hex(b"")) * 4 == 256


def test_templates_escape_everything_and_run_nothing(site: Site) -> None:
    escapes = site.app.jinja_env.autoescape
    assert callable(escapes)
    assert escapes("office/home.html") is True
    for path in sorted((ROOT / "templates").rglob("*.html")):
        text = path.read_text("utf-8")
        assert not re.search(r"\|\s*safe|autoescape|\son[a-z]+=|style=|javascript:|srcdoc", text), path.name
        assert not re.search(r"<script(?! src=\"/dist/)|https?://|//cdn", text), path.name


PHONE_NEVER = (
    r"\.(innerHTML|outerHTML)\b|insertAdjacentHTML|document\.write|dangerouslySetInnerHTML",
    r"\beval\(|new Function\(|setTimeout\(\s*[\"'`]|javascript:",
    r"\b__proto__|\.prototype\[|Object\.setPrototypeOf",
    r"(?:window|globalThis|^)\s*\.?addEventListener\([\"']message|window\.onmessage|parent\.postMessage",
    r"https?://(?!www\.w3\.org/|localhost)|importScripts\(|JSONP|callback=",
    r"document\.cookie|extractable:\s*true|generateKey\([^)]*, true",
)


@pytest.mark.parametrize("never", PHONE_NEVER)
def test_the_phone_never_does(never: str) -> None:
    sources = [path for path in sorted(PHONE.rglob("*")) if path.suffix in (".ts", ".tsx", ".html")]
    assert len(sources) > 50
    found = []
    for path in sources:
        lines = path.read_text("utf-8").splitlines()
        found += [
            f"{path.relative_to(PHONE)}: {line.strip()}"
            for line in lines
            if not line.strip().startswith(("//", "*", "/*")) and re.search(never, line)
        ]
    assert found == []


def test_what_the_phone_can_guess_with_is_never_for_secrets() -> None:
    users = [path.name for path in PHONE.rglob("*.ts*") if "Math.random" in path.read_text("utf-8")]
    assert users == ["app.ts"]
    assert re.findall(r".*Math\.random.*", (PHONE / "ui" / "app.ts").read_text("utf-8")) == [
        "    setTimeout(again, wait * (0.75 + Math.random() / 2));"
    ]


def test_the_repository_holds_no_secret() -> None:
    """None but the keys that tests are made of, which stand in tests alone."""
    shape = re.compile(
        r"BEGIN [A-Z ]*PRIVATE KEY|SECRET_KEY\s*=\s*[\"']|\"d\":\s*\"[A-Za-z0-9_-]{43}\"|AKIA[A-Z0-9]{16}"
    )
    shipped = [
        path
        for folder in ("server", "templates", "demo", "static/src")
        for path in (ROOT / folder).rglob("*")
    ]
    texts = [
        path for path in shipped if path.suffix in (".py", ".ts", ".tsx", ".html", ".yaml", ".json", ".css")
    ]
    assert len(texts) > 300
    assert [path.name for path in texts if shape.search(path.read_text("utf-8"))] == []


def test_every_part_from_elsewhere_is_pinned() -> None:
    import tomllib

    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    for needed in (*project["dependencies"], *project["optional-dependencies"]["test"]):
        assert re.search(r"[><=]=?\d", needed) or needed.startswith("seamwalk["), needed
        assert "@" not in needed
    lock = json.loads((ROOT / "static" / "package-lock.json").read_text("utf-8"))["packages"]
    fetched = {name: part for name, part in lock.items() if name}
    assert len(fetched) > 5
    for name, part in fetched.items():
        assert part["integrity"].startswith("sha512-"), name
        assert not part.get("resolved", "").startswith(("git", "http:", "file:")), name


# --- tokens


def part(value: object) -> str:
    return base64url_encode(json.dumps(value).encode())


def forgeries(key: PrivateKey, payload: object) -> Iterator[tuple[str, str]]:
    """Tokens that say they are of a key and are not signed by ES256."""
    header: dict[str, Any] = {"kid": key.thumbprint, "typ": "seamwalk-session"}
    public = json.dumps(key.jwk).encode()
    for alg in ("none", "None", "NONE", "", None):
        yield f"alg {alg}", f"{part({**header, 'alg': alg})}.{part(payload)}."
        yield f"alg {alg}, 64 bytes", f"{part({**header, 'alg': alg})}.{part(payload)}.{'A' * 86}"
    for alg, digest in (("HS256", hashlib.sha256), ("HS512", hashlib.sha512)):
        signed = f"{part({**header, 'alg': alg})}.{part(payload)}"
        for secret in (public, key.jwk["x"].encode(), b""):
            mac = hmac.new(secret, signed.encode(), digest).digest()
            yield f"{alg} under the public key", f"{signed}.{base64url_encode(mac)}"
    good = key.sign("seamwalk-session", json.dumps(payload).encode())
    for alg in ("ES384", "ES512", "RS256", "PS256", "EdDSA", "es256"):
        yield f"alg {alg}", f"{part({**header, 'alg': alg})}.{good.split('.', 1)[1]}"
    zeros = f"{part({**header, 'alg': 'ES256'})}.{part(payload)}"
    yield "r and s of 0", f"{zeros}.{'A' * 86}"
    other = PrivateKey.generate()
    yield "another's key", other.sign("seamwalk-session", json.dumps(payload).encode(), with_jwk=True)


def test_only_es256_is_taken_for_a_signature() -> None:
    key = PrivateKey.generate()
    public = PublicKey(key.jwk)
    assert public.verifies(key.sign("seamwalk-session", b"{}"))
    told = [name for name, token in forgeries(key, {}) if public.verifies(token)]
    assert told == []


def test_no_forged_proof_signs_a_device_in(site: Site) -> None:
    phone, client = site.phone(), site.app.test_client()
    device = phone.key.thumbprint
    nonce = client.post("/api/v1/nonce", json={"device": device}, headers=CALL).get_json()["nonce"]
    for name, proof in forgeries(phone.key, {"nonce": nonce}):
        body = {"device": device, "proof": proof}
        assert client.post("/api/v1/session", json=body, headers=CALL).status_code in (400, 403), name
        assert client.get_cookie("seamwalk_device") is None


@pytest.mark.parametrize("typ", ["seamwalk-join", "seamwalk-entry", "seamwalk-head", "JWT", ""])
def test_a_signature_for_one_purpose_is_none_for_another(site: Site, typ: str) -> None:
    phone, client = site.phone(), site.app.test_client()
    device = phone.key.thumbprint
    nonce = client.post("/api/v1/nonce", json={"device": device}, headers=CALL).get_json()["nonce"]
    body = {"device": device, "proof": phone.key.sign(typ, json.dumps({"nonce": nonce}).encode())}
    assert client.post("/api/v1/session", json=body, headers=CALL).status_code == 403
    key, invite = PrivateKey.generate(), site.invite()
    proof = key.sign("seamwalk-session", json.dumps({"token": invite}).encode())
    joining = {"token": invite, "jwk": key.jwk, "name": "Rosa", "proof": proof}
    assert client.post("/api/v1/join", json=joining, headers=CALL).status_code == 403


@pytest.mark.parametrize("member", ["jku", "x5u", "x5c", "crit", "zip", "cty"])
def test_no_header_names_a_key_from_elsewhere(site: Site, member: str) -> None:
    phone = site.phone()
    entry = phone.write("withdrawn", {"entry": "0" * 64}, NOW)
    header = {
        "alg": "ES256",
        "kid": phone.key.thumbprint,
        "typ": "seamwalk-entry",
        member: "https://evil.example",
    }
    compact = f"{part(header)}.{entry.jws.split('.', 1)[1]}"
    body = {"after": 0, "entries": [compact]}
    answer = phone.client.post(f"/api/v1/books/{site.book}/sync", json=body, headers=CALL)
    assert answer.json["verdicts"][0]["verdict"] == "refused"


def test_tokens_are_long_and_never_the_same(site: Site) -> None:
    """256 bits of the system's own randomness in each."""
    client, device = site.app.test_client(), site.phone().key.thumbprint
    invites = {site.invite() for _ in range(20)}
    nonces = {
        client.post("/api/v1/nonce", json={"device": device}, headers=CALL).get_json()["nonce"]
        for _ in range(20)
    }
    assert len(invites) == len(nonces) == 20
    assert min(map(len, invites | nonces)) >= 43
    cookies = {cookie_of(client_of(site.phone()), "seamwalk_device") for _ in range(3)}
    assert len(cookies) == 3
    assert min(map(len, cookies)) >= 43


def test_there_is_no_login_before_somebody_makes_one(tmp_path: Path) -> None:
    from seamwalk.config import load_settings
    from seamwalk.store.tables import Account

    app = create_app(load_settings({"SEAMWALK_DIR": str(tmp_path)}))
    store = app.extensions["seamwalk"].store
    with store.read() as session:
        assert session.query(Account).count() == 0
    store.engine.dispose()

"""The real server on the wire: TLS (RFC 9325) and where a request ends (RFC 9112)."""

import socket
import ssl
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from real_server import Server


def certificate(folder: Path) -> tuple[Path, Path]:
    """A certificate for this machine, and its key."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "localhost")])
    now = datetime.now(UTC)
    names = x509.SubjectAlternativeName([x509.DNSName("localhost"), x509.IPAddress(ip_address("127.0.0.1"))])
    made = x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
    made = made.serial_number(x509.random_serial_number()).add_extension(names, critical=False)
    made = made.not_valid_before(now - timedelta(days=1)).not_valid_after(now + timedelta(days=1))
    files = folder / "chain.pem", folder / "key.pem"
    files[0].write_bytes(made.sign(key, hashes.SHA256()).public_bytes(serialization.Encoding.PEM))
    kind = serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    files[1].write_bytes(key.private_bytes(*kind))
    return files


class SecureServer(Server):
    """`seamwalk serve` with a certificate."""

    def start_tls(self, chain: Path, key: Path) -> None:
        self.env["SEAMWALK_PUBLIC_URL"] = f"https://localhost:{self.port}"
        self.start("--certificate", str(chain), "--key", str(key))


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[SecureServer, Path]]:
    folder = tmp_path_factory.mktemp("secure")
    chain, key = certificate(folder)
    made = SecureServer(folder / "data")
    made.start_tls(chain, key)
    yield made, chain
    made.stop()


def offering(
    chain: Path, version: ssl.TLSVersion | None = None, ciphers: str | None = None
) -> ssl.SSLContext:
    context = ssl.create_default_context(cafile=str(chain))
    if version is not None:
        context.minimum_version = context.maximum_version = version
    if ciphers is not None:
        context.set_ciphers(ciphers)
    return context


def connected(port: int, context: ssl.SSLContext) -> ssl.SSLSocket:
    plain = socket.create_connection(("127.0.0.1", port), timeout=20)
    try:
        return context.wrap_socket(plain, server_hostname="localhost")
    except BaseException:
        plain.close()
        raise


@pytest.mark.filterwarnings("ignore:ssl.TLSVersion")
@pytest.mark.parametrize("version", [ssl.TLSVersion.TLSv1, ssl.TLSVersion.TLSv1_1])
def test_old_tls_is_not_spoken(server: tuple[SecureServer, Path], version: ssl.TLSVersion) -> None:
    context = offering(server[1], version, "ALL:@SECLEVEL=0")
    with pytest.raises((ssl.SSLError, ConnectionError)) as caught:
        connected(server[0].port, context).close()
    assert "NO_PROTOCOLS_AVAILABLE" not in str(caught.value)
    assert "ALERT" in str(caught.value).upper() or isinstance(caught.value, ConnectionError)


def test_the_newest_tls_is_spoken_under_strong_ciphers(server: tuple[SecureServer, Path]) -> None:
    with connected(server[0].port, offering(server[1])) as stream:
        assert stream.version() == "TLSv1.3"
        cipher = stream.cipher()
        assert cipher is not None
        name, _, bits = cipher
        assert name in ("TLS_AES_256_GCM_SHA384", "TLS_AES_128_GCM_SHA256", "TLS_CHACHA20_POLY1305_SHA256")
        assert bits >= 128


@pytest.mark.filterwarnings("ignore:ssl.TLSVersion")
@pytest.mark.parametrize(
    "ciphers", ["AES128-SHA", "AES256-SHA", "ECDHE-ECDSA-AES128-SHA", "AES128-GCM-SHA256"]
)
def test_weak_ciphers_and_those_without_forward_secrecy_are_refused(
    server: tuple[SecureServer, Path], ciphers: str
) -> None:
    context = offering(server[1], ssl.TLSVersion.TLSv1_2, f"{ciphers}:@SECLEVEL=0")
    with pytest.raises((ssl.SSLError, ConnectionError)):
        connected(server[0].port, context).close()


def test_the_port_of_tls_answers_nothing_in_plain_text(server: tuple[SecureServer, Path]) -> None:
    with socket.create_connection(("127.0.0.1", server[0].port), timeout=20) as plain:
        plain.sendall(b"GET /api/v1/health HTTP/1.1\r\nHost: localhost\r\n\r\n")
        try:
            said = plain.recv(4096)
        except ConnectionError:
            said = b""
    assert b"seamwalk" not in said
    assert b"HTTP/1.1 2" not in said
    assert b"Location" not in said


def exchange(server: tuple[SecureServer, Path], sent: bytes) -> bytes:
    """Everything that is answered to some bytes until the server closes."""
    said = b""
    with connected(server[0].port, offering(server[1])) as stream:
        stream.sendall(sent)
        try:
            while piece := stream.recv(65_536):
                said += piece
        except ConnectionError:
            pass
    return said


HEAD = b"POST /api/v1/nonce HTTP/1.1\r\nHost: localhost\r\n"
LAST = b"GET /api/v1/nothing HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n"


def test_chunks_count_and_a_length_beside_them_does_not(server: tuple[SecureServer, Path]) -> None:
    """RFC 9112 section 6.3: Transfer-Encoding overrides Content-Length."""
    body = b'{"device":"%s"}' % (b"A" * 43)
    head = HEAD + b"X-Seamwalk: 1\r\nContent-Type: application/json\r\nContent-Length: 4\r\n"
    chunks = b"Transfer-Encoding: chunked\r\n\r\n%x\r\n%s\r\n0\r\n\r\n" % (len(body), body)
    said = exchange(server, head + chunks + LAST)
    codes = [line.split()[1] for line in said.split(b"\r\n") if line.startswith(b"HTTP/1.1 ")]
    assert codes in ([b"200"], [b"200", b"404"])
    assert b'"nonce"' in said


@pytest.mark.parametrize(
    "headers",
    [
        b"Content-Length: 5\r\nContent-Length: 6\r\n",
        b"Content-Length: 5, 6\r\n",
        b"Content-Length: +5\r\n",
        b"Content-Length: 0x5\r\n",
        b"Content-Length: -1\r\n",
        b"Transfer-Encoding: chunked, identity\r\n",
        b"Transfer-Encoding : chunked\r\n",
        b"Content Length: 5\r\n",
    ],
)
def test_a_message_whose_end_is_in_doubt_is_refused(
    server: tuple[SecureServer, Path], headers: bytes
) -> None:
    said = exchange(server, HEAD + headers + b"Connection: close\r\n\r\n" + b"0\r\n\r\n" + LAST)
    codes = [line.split()[1] for line in said.split(b"\r\n") if line.startswith(b"HTTP/1.1 ")]
    assert codes in ([b"400"], [])

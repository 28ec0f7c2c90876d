"""Reading 200,000 entries again, with `seamwalk verify` and `seamwalk rebuild`, against bare signatures.

The baseline verifies and hashes each entry's bytes and nothing else.
"""

from pathlib import Path

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256

from bench.bench_book import Measured, batches, measured, seconds
from helpers import NOW
from seamwalk.book.jose import base64url_decode
from seamwalk.book.merkle import leaf_hash
from seamwalk.book.verify import verify_export
from seamwalk.store.ledger import intake
from seamwalk.store.ledger.books import find_book
from seamwalk.store.ledger.exports import export_book
from seamwalk.store.projections.projections import rebuild

ENTRIES, TINY = 200_000, 200


def bare(keys: list[ec.EllipticCurvePublicKey], texts: list[str]) -> None:
    for number, text in enumerate(texts):
        signed, _, signature = text.rpartition(".")
        raw = base64url_decode(signature)
        der = encode_dss_signature(int.from_bytes(raw[:32]), int.from_bytes(raw[32:]))
        keys[number % len(keys)].verify(der, signed.encode(), ec.ECDSA(SHA256()))
        leaf_hash(text.encode())


def fill(book: Measured, texts: list[str]) -> None:
    for batch in batches(texts):
        with book.site.store.write() as session:
            intake.ingest(session, book.site.book, batch, NOW)


def export(book: Measured) -> Path:
    target = book.folder / "export.txt"
    with book.site.store.read() as session, target.open("w", encoding="utf-8", newline="\n") as file:
        file.writelines(export_book(session, find_book(session, book.site.book)))
    return target


def verify(file: Path, owner: str) -> None:
    with file.open("rb") as lines:
        verify_export(lines, owner)


def make_again(book: Measured) -> None:
    with book.site.store.write() as session:
        rebuild(session, book.site.book)


def main(*, tiny: bool = False) -> None:
    """Run and print."""
    with measured() as book:
        texts = book.texts(TINY if tiny else ENTRIES)
        print(f"ingest of all: {seconds(lambda: fill(book, texts)):.1f} s", flush=True)
        base = seconds(lambda: bare([key._raw.public_key() for key in book.keys], texts))
        file = export(book)
        verified = seconds(lambda: verify(file, book.site.owner))
        print(
            f"verify {verified:.1f} s, bare signatures {base:.1f} s: x {verified / base:.2f} (goal 30 s)",
            flush=True,
        )
        rebuilt = seconds(lambda: make_again(book))
        print(f"rebuild {rebuilt:.1f} s, bare signatures {base:.1f} s: x {rebuilt / base:.2f}")

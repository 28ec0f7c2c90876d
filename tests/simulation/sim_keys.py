"""Keys and signatures that are the same in every run: RFC 6979, from a number."""

import json

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from joserfc.jwk import ECKey

from seamwalk.book.jose import ALGORITHM, PrivateKey, base64url_encode

_SIGN = ec.ECDSA(SHA256(), deterministic_signing=True)


class NumberedKey(PrivateKey):
    """The P-256 key whose secret is a number."""

    def __init__(self, number: int) -> None:
        self._raw = ec.derive_private_key(number, ec.SECP256R1())
        super().__init__(ECKey.import_key(self._raw))
        self._prefix: dict[tuple[str, bool], str] = {}
        self._jwk = super().jwk

    @property
    def jwk(self) -> dict[str, str]:
        return self._jwk

    def sign(self, typ: str, payload: bytes, *, with_jwk: bool = False) -> str:
        if (typ, with_jwk) not in self._prefix:
            header = {"alg": ALGORITHM, "kid": self.thumbprint, "typ": typ} | (
                {"jwk": self._jwk} if with_jwk else {}
            )
            self._prefix[typ, with_jwk] = base64url_encode(json.dumps(header).encode())
        signed = f"{self._prefix[typ, with_jwk]}.{base64url_encode(payload)}"
        r, s = decode_dss_signature(self._raw.sign(signed.encode("ascii"), _SIGN))
        return f"{signed}.{base64url_encode(r.to_bytes(32, 'big') + s.to_bytes(32, 'big'))}"

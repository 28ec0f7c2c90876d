"""A stranger without a login: hears a part of what goes over the net, and sends of it what he likes."""

import random
from typing import Any

from sim_keys import NumberedKey

from seamwalk.book.entry import Author, entry_id
from seamwalk.book.jose import ORDER, base64url_encode, other_form, signing_input

_AT = "2026-11-20T22:00:00.000Z"
_FORMS = {"as it was": 3, "twisted": 6, "garbage": 2, "cut off": 1}


class Stranger:
    """What he has heard, and what he makes of it.

    `garbage` are texts that nobody signed as they are; `own` the signing inputs of his own device's entries.
    """

    def __init__(self, seed: int, book: str, key: NumberedKey) -> None:
        self.rng = random.Random(f"stranger {seed}")
        self.heard: dict[str, None] = {}
        self.garbage: set[str] = set()
        self.twisted: set[str] = set()
        self._key, self._author = key, Author(key, book)
        self.own: dict[str, str] = {}

    def hears(self, texts: list[str]) -> None:
        """Half of what goes by."""
        self.heard.update(dict.fromkeys(text for text in texts if self.rng.random() < 0.5))

    def is_faster(self) -> bool:
        """Whether he sends what he has heard before it is where it was sent."""
        return self.rng.random() < 0.15

    def makes(self, most: int) -> list[str]:
        """Some texts to send: heard ones, in any form and order, and now and then one of his own."""
        heard = list(self.heard)
        chosen = self.rng.choices(heard, k=self.rng.randint(1, most)) if heard else []
        texts = [
            self._made_of(text, self.rng.choices(list(_FORMS), list(_FORMS.values()))[0]) for text in chosen
        ]
        if self.rng.random() < 0.2:
            texts.append(self._own(heard))
        self.rng.shuffle(texts)
        return texts

    def everything(self) -> list[str]:
        """All that he has heard, as it was and twisted, in an order of his own."""
        texts = [self._made_of(text, form) for text in self.heard for form in ("as it was", "twisted")]
        self.rng.shuffle(texts)
        return [*texts, *self.own.values()]

    def _made_of(self, text: str, form: str) -> str:
        if form == "as it was":
            return text
        if form == "twisted":
            made = other_form(text)
            self.twisted.add(made)
            return made
        made = text[:-4] if form == "cut off" else f"{signing_input(text)}.{self._signature()}"
        self.garbage.add(made)
        return made

    def _signature(self) -> str:
        r, s = (self.rng.randrange(1, ORDER).to_bytes(32) for _ in "rs")
        return base64url_encode(r + s)

    def _own(self, heard: list[str]) -> str:
        """An entry that his own device signs: it takes something back, finds a fault, or admits itself."""
        named = self.rng.choice([*map(entry_id, heard[:1]), "0" * 64])
        device = {"device": self._key.thumbprint, "jwk": self._key.jwk, "person": "p" + "f" * 16}
        bodies: list[tuple[str, dict[str, Any]]] = [
            ("withdrawn", {"entry": named}),
            (
                "found",
                {"plan": "0" * 64, "checks": ["A/side/1.1/2.1/locks:2"], "result": "ok", "answers": [named]},
            ),
            ("device_admitted", {**device, "name_blob": "0" * 64, "role": "chief"}),
        ]
        entry_type, body = self.rng.choice(bodies)
        entry, self._author = self._author.write(entry_type, body, _AT, with_jwk=True)
        self.own[entry.input] = entry.jws
        return entry.jws

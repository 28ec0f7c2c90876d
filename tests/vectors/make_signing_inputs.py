"""Make `signing_inputs.json`, the same each time: entries in both forms of their signatures."""

import json
from pathlib import Path

from signing_scenes import SCENES
from two_forms import BOOK, KEYS, ORDER, Scene

DESCRIPTION = """Entries in both forms of their signatures; made by make_signing_inputs.py, run by Python and
TypeScript. An entry's text is `input`.`low` or `input`.`high`. `texts` are in their order of
arrival, each with its verdict; `again` names the text of that entry that came first; `sent` is
false where a held entry gets its place because the office lets it in. With `old`, they are the
leaves of a book from before the repair, all kept, each with why it is void; without it, `void` says so
of a kept one that has no effect. `expect` speaks of
entries by name: states as [state, weight, standing], why as [key, acts, others], plans that stand,
bindings that stand, things in cases by stage, sightings of a thing at load-in, who shut a case
there, what stands of a thing (status, and the step that led there), countersigned handovers, sign-
offs with why they have lapsed, whether phones are admitted at the end, flags by entry."""


def main() -> None:
    """Write the file, an entry a line."""
    keys = {name: key.jwk for name, key in KEYS.items()}
    top = {
        "description": " ".join(DESCRIPTION.split()),
        "book": BOOK,
        "order_hex": f"{ORDER:064x}",
        "keys": keys,
    }
    text = json.dumps(top)[:-1] + ', "scenes": [\n' + ",\n".join(map(told, SCENES)) + "\n]}\n"
    Path(__file__).with_name("signing_inputs.json").write_text(text)


def told(scene: Scene) -> str:
    """A scene as JSON, with an entry and a text a line."""
    made = scene.told()
    entries = ",\n   ".join(
        f"{json.dumps(name)}: {json.dumps(entry)}" for name, entry in made["entries"].items()
    )
    texts = ",\n   ".join(map(json.dumps, made["texts"]))
    rest = {key: made[key] for key in ("description", "old", "devices")}
    lists = f'"entries": {{\n   {entries}\n  }},\n  "texts": [\n   {texts}\n  ]'
    return f'{json.dumps(rest)[:-1]},\n  {lists},\n  "expect": {json.dumps(made["expect"])}}}'


if __name__ == "__main__":
    main()

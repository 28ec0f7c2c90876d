"""Write the procedures as phones get them, without their texts, for the phone's tests."""

import json
from pathlib import Path

from seamwalk.procedures import built_in

FILE = Path(__file__).with_name("procedures.json")


def written() -> str:
    """The file as it should be now."""
    return json.dumps(json.loads(built_in())["procedures"], indent=1, sort_keys=True) + "\n"


if __name__ == "__main__":
    FILE.write_text(written())

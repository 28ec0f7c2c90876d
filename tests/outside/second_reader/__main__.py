"""Read one file and say what became of it: `python -m second_reader FORMAT.md ENTRIES.json FILE ...`."""

import json
import sys
from pathlib import Path

from second_reader import Published, Refusal, read

document, schemas, file, *rest = sys.argv[1:]
published = Published(Path(document).read_text(), json.loads(Path(schemas).read_text()))
try:
    print("holds", read(Path(file).read_bytes(), published, rest[0] if rest else None, rest[1:]))
except Refusal as refusal:
    sys.exit(f"refused: {refusal.code}")

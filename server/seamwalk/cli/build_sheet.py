"""Commands that work out a wall."""

import argparse
import json
import sys
from pathlib import Path

from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.printing.sheet_text import sheet_lines


def sheet(given: argparse.Namespace) -> None:
    """Print a plan's build sheet."""
    text = sys.stdin.read() if given.plan == "-" else Path(given.plan).read_text("utf-8")
    worked_out = build_sheet(parse_plan(text))
    if given.json:
        print(json.dumps(worked_out, indent=2, ensure_ascii=False))
    else:
        print("\n".join(sheet_lines(worked_out)))

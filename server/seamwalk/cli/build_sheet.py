"""Commands that work out a wall."""

import argparse
import json
import sys
from pathlib import Path

from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.printing.sheet_text import sheet_lines


def sheet(args: argparse.Namespace) -> None:
    """Print a plan's build sheet."""
    text = sys.stdin.read() if args.plan == "-" else Path(args.plan).read_text("utf-8")
    built = build_sheet(parse_plan(text))
    if args.json:
        print(json.dumps(built, indent=2, ensure_ascii=False))
    else:
        print("\n".join(sheet_lines(built)))

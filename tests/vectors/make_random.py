"""Make `random_findings.json`: histories at random, their states by the rules written out plainly.

Nothing of the code that is tested is used here. Run it again and it writes the same file.
"""

import json
import random
from pathlib import Path
from typing import Any

CASES = 240
CHECKS = ["a", "b", "c"]
WORST_LAST = ["open", "not_reached", "ok", "reopened", "cosmetic", "show", "stop"]
# Awkward kinds come more often than happy ones.
KINDS = ["ok"] * 4 + ["fault"] * 5 + ["withdrawn"] * 3 + ["reopened"] * 2 + ["not_reached", "released"]


def history(rng: random.Random) -> list[dict[str, Any]]:
    """Acts that name earlier, later and unknown ids, in an order of arrival of their own."""
    count = rng.randint(2, 12)
    ids = [f"{number:02}" for number in range(count + 1)]
    acts = []
    for number in range(count):
        kind = rng.choice(KINDS)
        act: dict[str, Any] = {"id": ids[number], "author": rng.choice("pqr"), "kind": kind, "checks": []}
        act |= {"weight": None, "answers": [], "target": None, "reopens": [], "duty": None}
        act |= {"early": [], "at": ""}
        if kind == "withdrawn":
            act["target"] = rng.choice(ids)
        else:
            act["checks"] = sorted(rng.sample(CHECKS, rng.choice([1, 1, 1, 2, 3])))
        if kind == "ok":
            act["answers"] = sorted(rng.sample(ids, rng.randint(0, min(4, len(ids)))))
        if kind == "fault":
            act["weight"] = rng.choice(WORST_LAST[4:])
            act["reopens"] = sorted(rng.sample(act["checks"], rng.randint(0, len(act["checks"]) - 1)))
        if kind == "released":
            act["answers"], act["duty"] = sorted(rng.sample(ids, 1)), rng.choice(["site", "structure"])
        acts.append(act)
    rng.shuffle(acts)
    return acts + acts[: rng.choice([0, 0, 2])]


def state(check: str, acts: list[dict[str, Any]]) -> dict[str, Any]:
    """The rules, plainly: who took back what, what is left, what of it is answered, what is worst."""
    taken_back = set()
    for act in acts:
        for other in acts:
            if act["target"] == other["id"] and act["author"] == other["author"]:
                taken_back.add(other["id"])
    left = {a["id"]: a for a in acts if a["id"] not in taken_back and check in a["checks"]}
    left = {name: act for name, act in left.items() if act["kind"] != "released"}
    standing = {}
    for name, act in left.items():
        alone = "reopened" if check in act["reopens"] else act["weight"] or act["kind"]
        answered = False
        for ok in left.values():
            if ok["kind"] == "ok" and name in ok["answers"]:
                answered = answered or alone not in WORST_LAST[4:] or ok["checks"] == [check]
        if not answered:
            standing[name] = alone
    worst = max(standing.values(), key=WORST_LAST.index, default="open")
    weight = worst if worst in WORST_LAST[4:] else None
    return {"state": "fault" if weight else worst, "weight": weight, "standing": sorted(standing)}


def main() -> None:
    """Write the file, a case a line."""
    rng = random.Random(20261125)
    lines = []
    for _ in range(CASES):
        acts = history(rng)
        case = {"acts": acts, "expect": {check: state(check, acts) for check in CHECKS}}
        lines.append(json.dumps(case, separators=(",", ":")))
    text = '{"description": "Histories at random; made by make_random.py.", "cases": [\n' + ",\n".join(lines)
    Path(__file__).with_name("random_findings.json").write_text(text + "\n]}\n")


if __name__ == "__main__":
    main()

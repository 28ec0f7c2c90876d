"""The order of what can hurt, against published rules; the trade's own order is marked as such."""

import pytest

from helpers import PLAN
from seamwalk.domain.checks.build_order import build_acts, strike_acts
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import build_wall
from seamwalk.procedures import load_procedures
from seamwalk.texts import catalogue

TEXTS = catalogue("procedures")


def keys(procedure: str) -> list[str]:
    return [step.key for step in load_procedures()[procedure].steps]


def in_order(procedure: str, *steps: str) -> bool:
    at = [keys(procedure).index(step) for step in steps]
    return at == sorted(at)


# Source: EN 50110-1, the first three of its five rules (disconnect, secure against reconnection, verify that
# the installation is dead), listed at dehn-international.com/en/work-according-five-safety-rules. The other
# two, earthing and covering live parts, are for whoever works on the installation itself: nobody does here.
@pytest.mark.parametrize(
    ("procedure", "first", "then"), [("unit_swap", "isolate", "swap"), ("power_down", "isolate", "prove")]
)
def test_work_begins_when_it_is_off_locked_off_and_proved_dead(procedure: str, first: str, then: str) -> None:
    assert in_order(procedure, first, "prove", then)
    assert "lock it off" in TEXTS[f"{procedure}.steps.{first}"]
    prove = next(step for step in load_procedures()[procedure].steps if step.key == "prove")
    assert [choice.fault for choice in prove.choices] == [None, "still_live"]


# Source: prove, test, prove under the Electricity at Work Regulations 1989, reg. 4(3), and HSE guidance note
# GS38, as in plumbrevise.co.uk/revisions/safe-isolation-procedure.
@pytest.mark.parametrize("procedure", ["unit_swap", "power_down"])
def test_the_tester_is_proved_before_and_after(procedure: str) -> None:
    assert "the tester before and after" in TEXTS[f"{procedure}.steps.prove"]


def test_a_unit_waits_for_stored_charge_before_hands_go_in() -> None:
    # Switch-mode supplies keep a charge: how long is the maker's figure. Common practice, no source.
    assert in_order(
        "unit_swap", "leave", "isolate", "prove", "wait", "swap", "power", "configuration", "look"
    )


def test_the_trade_s_order_at_a_joint_and_at_a_case() -> None:
    # All common practice, no source.
    assert in_order("lock", "clean", "offer", "first", "listen", "rest", "count", "guard")
    assert in_order("lock", "stop", "inspect", "brush", "again")
    assert in_order("debris", "separate", "clean", "damage", "seat")
    assert in_order("tile_in", "feel", "carry", "corners", "set_down")
    assert in_order("power_up", "warn", "low", "switch")
    assert in_order("take_down", "held", "unlock", "look", "covers", "case")
    assert in_order("unplug", "cool", "cables")
    assert in_order("lift", "rigger", "clear", "move", "hold")


def test_a_strike_begins_dark_and_dead_and_ends_with_the_bars() -> None:
    # Common practice, no source: supports stay until no row needs them; hanging walls come down row by row.
    plan = {"rows": 3, "columns": 2, "support_columns": [1], "clamp_rows": [3], "reference": "x"}
    acts = [act.act for act in strike_acts(build_acts(build_wall(parse_plan(PLAN | plan))))]
    assert acts[0] == "clamp"
    assert acts.index("support") == acts.index("clamp") + 1 + 2 * 2
    hanging = build_wall(parse_plan({**PLAN, "support": "flown"}))
    assert [act.act for act in build_acts(hanging)] == ["tile"] * 3 + ["lift"] + ["tile"] * 3 + ["lift"]
    assert [act.act for act in strike_acts(build_acts(hanging))] == (["lift"] + ["tile"] * 3) * 2

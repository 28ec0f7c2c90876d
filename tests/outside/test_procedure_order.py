"""The order of what can hurt, against published rules; the trade's own order is marked as such."""

import pytest

from helpers import PLAN
from seamwalk.domain.checks.build_order import build_acts, strike_acts
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import build_wall
from seamwalk.procedures import load_procedures
from seamwalk.procedures.shape import Step
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


def step_of(procedure: str, key: str) -> Step:
    return next(step for step in load_procedures()[procedure].steps if step.key == key)


def outcomes(procedure: str, key: str) -> dict[str, str]:
    """Where each choice of a step leads: on to a step, or to a fault."""
    return {choice.when: choice.goto or choice.fault or "" for choice in step_of(procedure, key).choices}


# Source: 29 CFR 1910.334(b)(2), as OSHA's letter of 2001-11-19 gives it,
# osha.gov/pls/oshaweb/owadisp.show_document?p_table=INTERPRETATIONS&p_id=24009: a circuit that its protective
# device opened is not closed by hand before equipment and circuit were looked at; never again and again.
def test_a_breaker_that_fell_is_left_open_and_nothing_leads_back_to_switching() -> None:
    assert outcomes("power_up", "switch")["breaker_fell"] == "fell"
    assert set(outcomes("power_up", "fell").values()) == {"breaker_fell", "breaker_closed_again"}
    assert "before the cause is found" in TEXTS["power_up.steps.fell"]


# Source: WAC 296-307-37821(1), the words of 29 CFR 1910.334(b)(1),
# apps.leg.wa.gov/WAc/default.aspx?cite=296-307-37821: circuits are opened and closed under load by what is
# made for it; cable connectors that are not are no way to do it.
def test_a_supply_is_changed_by_a_switch_and_never_by_a_plug_under_load() -> None:
    assert outcomes("failover", "how") == {"by_a_switch": "switch", "only_by_plugs": "no_switch_over"}
    assert "pulls a plug under load" in TEXTS["failover.steps.switch"]


# Source: DGUV Vorschrift 17, section 27(2), vorschriften.bgn-branchenwissen.de/daten/dguv/17/27.htm:
# outdoors the feed is found free of faults before it is connected. BS 7671 reg. 612.1, as in
# electriciancentre.co.uk/how-to/electrical-inspection-testing-sequence-tests: protective and bonding
# conductors, then polarity, before power. BS 7909, certificate for small systems (docsbay.net/doc/1122336):
# RCDs by their button.
def test_a_supply_is_tested_in_this_order_before_the_wall_is_plugged_in() -> None:
    assert in_order("supply", "apart", "who", "earth", "polarity", "volts", "rcd", "dry", "plugged")
    assert outcomes("supply", "apart")["connected_already"] == "connected_early"
    assert outcomes("supply", "rcd")["one_does_not_fall"] == "rcd_stays"


# Source: Purdue University, crane procedure, steps 2 to 6,
# physics.purdue.edu/primelab/safety/Crane/Crane/Crane-120.htm: rated rigging, raised a few inches, held to
# see that brakes work and the load is balanced, lowered if it is not.
def test_a_wall_is_held_low_before_it_goes_up() -> None:
    assert in_order("lift", "rated", "pins", "clear", "low", "move", "load", "secondary", "hold")
    assert outcomes("lift", "low") == {"it_holds": "move", "it_slips": "does_not_hold"}


def test_a_load_that_no_cell_reads_is_said_to_be_unmeasured() -> None:
    # Common practice, no source: nobody guesses a load; each point has its own limit.
    for key in ("load", "highest"):
        unread = [choice.when for choice in step_of("lift", key).choices if choice.unread]
        assert unread == ["not_measured"]
    load = step_of("lift", "load").input
    assert load is not None
    assert (load.each, load.limit, load.over_to) == ("point", "point_kg", "over")


# Source: SI 299/2007 (Ireland), reg. 117,
# revisedacts.lawreform.ie/eli/2007/si/299/section/117/revised/en/html: where something can fall on
# somebody, the place is closed off and marked. Tools on lanyards: safeatworkca.com/tethering-tools.
@pytest.mark.parametrize(
    ("procedure", "work"),
    [
        ("clamp", "set"),
        ("module_swap", "straight_out"),
        ("unit_swap", "swap"),
        ("tile_swap", "out"),
        ("take_down_rear", "take_away"),
        ("cleaning", "dust"),
    ],
)
def test_the_area_below_is_closed_off_before_work_above_it(procedure: str, work: str) -> None:
    assert in_order(procedure, "below", work)
    assert outcomes(procedure, "below")["not_clear"] == "clear_below"
    assert step_of(procedure, "clear_below").then == "below"


@pytest.mark.parametrize(
    ("procedure", "opens"),
    [("debris", "separate"), ("lock", "part"), ("guard", "push"), ("curve", "change"), ("tile_swap", "hold")],
)
def test_nothing_is_parted_before_somebody_asked_what_rests_on_it(procedure: str, opens: str) -> None:
    # Common practice, no source: a joint may carry what stands on it or hangs from it.
    assert in_order(procedure, "carried", opens)
    led = outcomes(procedure, "carried")
    assert led.pop("stays_shut") in load_procedures()[procedure].reasons
    assert set(led.values()) == {opens}


def test_a_hanging_tile_s_carrying_lock_is_opened_last() -> None:
    # Common practice, no source: a standing tile is carried from below, a hanging one from above.
    for procedure, standing, hanging in (
        ("take_down", "unlock", "unlock_hanging"),
        ("tile_swap", "out", "out_hanging"),
    ):
        assert step_of(procedure, standing).unless == step_of(procedure, hanging).needs == ("flown",)
        assert "hangs from last" in TEXTS[f"{procedure}.steps.{hanging}"]


# Source: bute-park.com/event_guide/wind: for each structure a plan with its limit, acted on before it is
# reached, watched by a competent person.
def test_a_gust_over_the_competent_person_s_limit_leads_to_what_the_plan_says() -> None:
    assert in_order("weather", "plan", "read", "act")
    gust = step_of("weather", "read").input
    assert gust is not None
    assert (gust.unit, gust.limit, gust.over_to) == ("m_s", "wind_m_s", "act")
    assert step_of("weather", "act").call


# Source: University College London, Electrical shock (intranet.ee.ucl.ac.uk/safety): the current is broken
# before anybody is touched. slideum.com/doc/3562999/accident-scene-preservation: care and the emergency
# call, the place closed off, then photographs and witnesses.
def test_after_an_incident_people_come_before_everything_else() -> None:
    assert in_order("incident", "stop", "help", "live", "call", "make_clear", "present", "what", "leave_it")


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
    assert in_order("backup", "tell", "middle", "put_back", "port", "port_back")
    assert in_order("processor", "mapping", "save", "copy", "restart", "bright", "measure", "camera")
    assert outcomes("signal", "straight")["lines_break"] == "line_breaks"


def test_a_strike_begins_dark_and_dead_and_ends_with_the_bars() -> None:
    # Common practice, no source: supports stay until no row needs them; hanging walls come down row by row.
    plan = {"rows": 3, "columns": 2, "support_columns": [1], "clamp_rows": [3], "reference": "x"}
    acts = [act.act for act in strike_acts(build_acts(build_wall(parse_plan(PLAN | plan))))]
    assert acts[0] == "clamp"
    assert acts.index("support") == acts.index("clamp") + 1 + 2 * 2
    hanging = build_wall(parse_plan({**PLAN, "support": "flown"}))
    assert [act.act for act in build_acts(hanging)] == ["tile"] * 3 + ["lift"] + ["tile"] * 3 + ["lift"]
    assert [act.act for act in strike_acts(build_acts(hanging))] == (["lift"] + ["tile"] * 3) * 2

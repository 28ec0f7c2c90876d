"""Books whose entries come in both forms of their signatures, and what each must come to."""

from two_forms import CASE_1, CASE_2, CHECK, JSON, KEYS, NONE, OTHER, SPARE, Scene


def answered(form: str, other: str) -> Scene:
    scene = Scene(f"an ok names a fault kept {form} by the id of its {other} form", rosa="crew", mika="crew")
    scene.find("fault", "rosa", "fault", form=form)
    scene.find("ok", "mika", "ok", scene.id("fault", other))
    scene.come("fault", other)
    scene.expect = {"states": {CHECK: ["ok", None, ["ok"]]}, "why": {CHECK: ["mended", ["ok"], ["fault"]]}}
    return scene


def taken_back(form: str, other: str) -> Scene:
    scene = Scene(f"an ok kept {form} is taken back by its {other} id and sent again twisted", rosa="crew")
    scene.find("ok", "rosa", "ok", form=form)
    scene.write("back", "rosa", "withdrawn", entry=scene.id("ok", other))
    scene.come("ok", other)
    scene.come("back", "high")
    scene.expect = {"states": {CHECK: ["open", None, []]}, "why": {CHECK: ["open", [], []]}}
    return scene


def first_twisted() -> Scene:
    scene = Scene(
        "a twisted text that came first is the kept one, and its author goes on from its own", rosa="crew"
    )
    scene.find("fault", "rosa", "fault", form="high")
    scene.come("fault", "low")
    scene.find("ok", "rosa", "ok", scene.id("fault", "low"))
    scene.expect = {"states": {CHECK: ["ok", None, ["ok"]]}, "why": {CHECK: ["mended", ["ok"], ["fault"]]}}
    return scene


def revived() -> Scene:
    scene = Scene(
        "a fault is named twice in one ok, once by each form, and the ok is taken back", rosa="crew"
    )
    scene.find("fault", "rosa", "fault")
    scene.find("ok", "rosa", "ok", scene.id("fault", "low"), scene.id("fault", "high"))
    scene.write("back", "rosa", "withdrawn", entry=scene.id("ok", "high"))
    scene.expect = {"states": {CHECK: ["fault", "stop", ["fault"]]}}
    scene.expect["why"] = {CHECK: ["fault_revived", ["fault"], ["ok"]]}
    return scene


def reopened() -> Scene:
    scene = Scene(
        "a reopening kept high is answered low; another's twisted withdrawal is not his",
        rosa="crew",
        mika="crew",
    )
    swap: JSON = {"plan": NONE, "part": "module", "where": "1.1", "out": None, "in": None, "reopens": [CHECK]}
    scene.write("swap", "rosa", "swapped", form="high", **swap)
    scene.find("ok", "mika", "ok", scene.id("swap", "low"))
    scene.write("no right", "rosa", "withdrawn", entry=scene.id("ok", "high"))
    scene.come("no right", "high")
    scene.expect = {"states": {CHECK: ["ok", None, ["ok"]]}, "why": {CHECK: ["mended", ["ok"], ["swap"]]}}
    return scene


def plans() -> Scene:
    scene = Scene(
        "a plan replaces another by the id of its other form; the twisted first one changes nothing"
    )
    scene.plan("plan", None)
    scene.plan("second", scene.id("plan", "high"), form="high")
    scene.plan("third", scene.id("second", "low"))
    scene.come("plan", "high")
    scene.plan("late", scene.id("plan", "low"))
    scene.expect = {"plans": {"A": "third"}}
    return scene


def bound() -> Scene:
    scene = Scene("a binding replaces another by the id of its other form", rosa="crew", mika="crew")
    place: JSON = {"plan": NONE, "wall": "A", "item": SPARE, "tag": None}
    scene.write("here", "rosa", "tile_bound", tile="1.1", replaces=[], **place)
    scene.write("there", "mika", "tile_bound", tile="2.1", replaces=[scene.id("here", "high")], **place)
    scene.come("here", "high")
    scene.write("back", "mika", "withdrawn", entry=scene.id("there", "high"))
    scene.write("again", "rosa", "tile_bound", tile="3.1", replaces=[scene.id("here", "high")], **place)
    scene.expect = {"bindings": ["again"]}
    return scene


def packed() -> Scene:
    scene = Scene("a sighting replaces another by the id of its other form", rosa="crew", mika="crew")
    seen: JSON = {"items": [SPARE], "stage": "load_in", "unopened": False}
    scene.write("first", "rosa", "item_seen", case=CASE_1, replaces=[], **seen)
    scene.write("moved", "mika", "item_seen", case=CASE_2, replaces=[scene.id("first", "high")], **seen)
    scene.come("first", "high")
    shut: JSON = {"case": CASE_1, "stage": "load_in", "items": [], "lacking": []}
    scene.write("shut", "mika", "case_closed", **shut)
    scene.write("not shut", "mika", "withdrawn", entry=scene.id("shut", "high"))
    scene.come("shut", "high")
    scene.expect = {"cases": {"load_in": {CASE_1: [], CASE_2: [SPARE]}}, "sightings": {SPARE: ["moved"]}}
    scene.expect["shut"] = {CASE_1: None, CASE_2: None}
    return scene


def looked_at() -> Scene:
    scene = Scene(
        "a look at a thing is taken back by its other id; a bench step sent twisted is one step",
        kim="warehouse",
    )
    damage: JSON = {"covers": ["corner"], "damage": [{"part": "corner", "what": "chipped", "weight": "show"}]}
    scene.write("look", "kim", "item_looked_at", item=SPARE, stage="return", **damage)
    scene.write("other", "kim", "item_looked_at", item=CASE_1, stage="return", **damage)
    scene.write("back", "kim", "withdrawn", entry=scene.id("look", "high"))
    scene.come("look", "high")
    scene.write("triage", "kim", "item_benched", item=CASE_1, step="triage", result="repair")
    scene.write("mended", "kim", "item_benched", item=CASE_1, step="repair", result="mended", form="high")
    scene.come("triage", "high")
    scene.expect = {"bench": {SPARE: ["in_stock", ""], CASE_1: ["awaits_look", "mended"]}}
    return scene


def countersigned() -> Scene:
    scene = Scene("a handover is countersigned by the id of its other form", kim="warehouse", mika="partner")
    hire: JSON = {"hire": "in", "leg": "out", "party_blob": NONE, "items": [SPARE]}
    scene.write("handover", "kim", "hire_handed_over", firmware=None, configuration=None, **hire)
    agreed: JSON = {"agrees": True, "name_blob": NONE}
    scene.write("agreed", "mika", "countersigned", entry=scene.id("handover", "high"), **agreed)
    scene.come("agreed", "high")
    scene.expect = {"countersigned": {"handover": ["agreed"]}}
    return scene


def signed() -> Scene:
    scene = Scene("a sign-off covers an own entry that it names by its other form", rosa="chief")
    scene.plan("plan", None)
    scene.find("fault", "rosa", "fault")
    scene.sign_off("signed", "rosa", [scene.id("fault", "high")], late=1)
    scene.sign_off("without it", "rosa", [], late=2)
    scene.come("fault", "high")
    signed = {"signed": None, "without it": {"plan_differs": False, "worse": [CHECK]}}
    scene.expect = {"states": {CHECK: ["fault", "stop", ["fault"]]}, "sign_offs": signed}
    return scene


def let_in() -> Scene:
    scene = Scene("the office lets an entry in by the id of its other form", rosa="crew")
    revoked: JSON = {"device": KEYS["rosa"].thumbprint, "reason": "lost"}
    scene.write("revoked", "owner", "device_revoked", **revoked)
    scene.find("fault", "rosa", "fault", verdict="held")
    scene.come("fault", "high", verdict="held")
    scene.write("let in", "owner", "entry_admitted", entry=scene.id("fault", "high"), reason="it is true")
    scene.come("fault", "low", verdict="kept", void=None)
    scene.texts[-1]["sent"] = False
    scene.come("fault", "high")
    scene.expect = {"states": {CHECK: ["fault", "stop", ["fault"]]}, "admitted": {"rosa": False}}
    return scene


def admitted_again() -> Scene:
    scene = Scene("a revoked phone is not admitted again by its own old admission, twisted", rosa="crew")
    revoked: JSON = {"device": KEYS["rosa"].thumbprint, "reason": "lost"}
    scene.write("revoked", "owner", "device_revoked", form="high", **revoked)
    scene.come("rosa crew", "high")
    scene.find("ok", "rosa", "ok", verdict="held")
    scene.expect = {"states": {CHECK: ["open", None, []]}, "admitted": {"rosa": False}}
    return scene


def old_role() -> Scene:
    scene = Scene("a chief who was made crew does not sign by the old admission, twisted", rosa="chief")
    scene.plan("plan", None)
    scene.admit("rosa", "crew")
    scene.come("rosa chief", "high")
    scene.sign_off("signed", "rosa", [], verdict="held")
    scene.expect = {"admitted": {"rosa": True}, "sign_offs": {}}
    return scene


def prev_other_form() -> Scene:
    scene = Scene("prev names the entry before by either form", rosa="crew")
    scene.find("ok", "rosa", "ok")
    scene.find("fault", "rosa", "fault", prev="high", form="high")
    scene.find("second", "rosa", "ok", scene.id("fault", "low"), prev="low")
    scene.expect = {"states": {CHECK: ["ok", None, ["ok", "second"]]}, "flags": {}}
    return scene


def old_twins() -> Scene:
    scene = Scene(
        "a book from before the repair: twins of an ok, of its withdrawal and of a fault",
        rosa="crew",
        mika="crew",
    )
    hold(scene)
    scene.find("ok", "rosa", "ok")
    scene.write("back", "rosa", "withdrawn", entry=scene.id("ok", "low"))
    scene.come("ok", "high")
    scene.find("fault", "mika", "fault", form="high", checks=[OTHER])
    scene.find("mended", "mika", "ok", scene.id("fault", "high"), checks=[OTHER])
    scene.come("fault", "low")
    scene.expect = {"states": {CHECK: ["open", None, []], OTHER: ["ok", None, ["mended"]]}}
    return scene


def old_answer_to_twin() -> Scene:
    scene = Scene(
        "a book from before the repair: somebody answered the twin of a fault", rosa="crew", mika="crew"
    )
    hold(scene)
    scene.find("fault", "rosa", "fault")
    scene.come("fault", "high")
    scene.find("ok", "mika", "ok", scene.id("fault", "high"))
    scene.expect = {"states": {CHECK: ["ok", None, ["ok"]]}, "why": {CHECK: ["mended", ["ok"], ["fault"]]}}
    return scene


def old_readmitted() -> Scene:
    scene = Scene(
        "a book from before the repair: a revoked phone came back in by a twin", rosa="crew", mika="crew"
    )
    hold(scene)
    scene.find("fault", "mika", "fault")
    revoked: JSON = {"device": KEYS["rosa"].thumbprint, "reason": "lost"}
    scene.write("revoked", "owner", "device_revoked", **revoked)
    scene.come("rosa crew", "high")
    scene.find("ok", "rosa", "ok", scene.id("fault", "low"), void="let_in_by_twin")
    scene.admit("kim", "crew")
    scene.find("second", "kim", "ok", checks=[OTHER])
    scene.expect = {"states": {CHECK: ["fault", "stop", ["fault"]], OTHER: ["ok", None, ["second"]]}}
    scene.expect["admitted"] = {"rosa": False, "mika": True}
    return scene


def old_chief() -> Scene:
    scene = Scene("a book from before the repair: an old role came back by a twin and signed", rosa="chief")
    scene.plan("plan", None)
    hold(scene)
    scene.admit("rosa", "crew")
    scene.come("rosa chief", "high")
    scene.sign_off("signed", "rosa", [], void="let_in_by_twin")
    scene.find("fault", "rosa", "fault")
    scene.expect = {"states": {CHECK: ["fault", "stop", ["fault"]]}, "sign_offs": {}}
    scene.expect["admitted"] = {"rosa": True}
    return scene


def old_admitted_for_good() -> Scene:
    scene = Scene("a book from before the repair: a phone let in by a twin, then by the office", rosa="crew")
    hold(scene)
    revoked: JSON = {"device": KEYS["rosa"].thumbprint, "reason": "lost"}
    scene.write("revoked", "owner", "device_revoked", **revoked)
    scene.come("rosa crew", "high")
    scene.find("ok", "rosa", "ok", void="let_in_by_twin")
    scene.admit("rosa", "warehouse")
    scene.find("fault", "rosa", "fault")
    scene.expect = {"states": {CHECK: ["fault", "stop", ["fault"]]}, "admitted": {"rosa": True}}
    return scene


def outdated(description: str, kept: str, late: str | None) -> Scene:
    """Rosa is made chief, which comes in last; meanwhile the office has said something newer of her phone."""
    scene = Scene(description, rosa="crew", mika="crew")
    scene.write("begun", "owner", "rules_begun", rules=2)
    rosa = KEYS["rosa"].thumbprint
    if kept == "revoked":
        scene.write("revoked", "owner", "device_revoked", device=rosa, reason="lost")
    else:
        scene.admit("rosa", kept, minute=20)
    if late is None:
        scene.write("late", "owner", "device_revoked", minute=1, void="outdated", device=rosa, reason="?")
    else:
        scene.admit("rosa", late, minute=2, void="outdated")
    verdict = "held" if kept == "revoked" else "kept"
    scene.find("fault", "rosa", "fault", verdict=verdict)
    standing: list[object] = ["open", None, []] if kept == "revoked" else ["fault", "stop", ["fault"]]
    scene.expect = {"states": {CHECK: standing}, "admitted": {"rosa": kept != "revoked", "mika": True}}
    return scene


def hold(scene: Scene) -> None:
    """From here on the scene is a book that holds its texts already, twins and all."""
    scene.old = True
    for text in scene.texts:
        text.pop("verdict", None)
        text["void"] = None


SCENES = [
    answered("low", "high"),
    answered("high", "low"),
    taken_back("low", "high"),
    taken_back("high", "low"),
    first_twisted(),
    revived(),
    reopened(),
    plans(),
    bound(),
    packed(),
    looked_at(),
    countersigned(),
    signed(),
    let_in(),
    admitted_again(),
    old_role(),
    prev_other_form(),
    old_twins(),
    old_answer_to_twin(),
    old_readmitted(),
    old_chief(),
    old_admitted_for_good(),
    outdated("an admission from before a restore comes in after a newer revocation", "revoked", "chief"),
    outdated("a revocation from before a restore comes in after a newer admission", "chief", None),
]

"""What entries of a show hold about things in cases: seen, counted, looked at, hired, repaired.

`stage` is when: at prep in the warehouse, at load-in and load-out at the venue, at the return.
"""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from seamwalk.book.fields import (
    NO_OTHER_NAMES,
    UNIQUE,
    Body,
    Code,
    Hash,
    Key,
    ShortText,
    absent,
    only_when,
    present,
    published,
)

Stage = Literal["prep", "load_in", "load_out", "return"]
PartName = Annotated[str, Field(pattern=r"^[a-z_]{1,20}(:[a-z0-9_.]{1,20})?$")]
Photos = Annotated[list[Hash], Field(max_length=20, default_factory=list)]
# results of each step at the bench
BENCH_RESULTS = {
    "triage": ("repair", "no_fault", "to_maker", "scrap"),
    "repair": ("mended", "not_mended"),
    "second_look": ("sound", "faulty"),
}


class PrepListed(Body):
    """What this show takes out, case by case: a frozen file, the newest of which holds."""

    prep_file: Hash


class ItemSeen(Body):
    """These things lie in this case, or loose; `replaces` names what was on the screen and is wrong.

    `unopened` when the case stayed shut and its list was taken for true.
    """

    items: Annotated[list[Code], Field(min_length=1, max_length=100), UNIQUE]
    case: Code | None
    stage: Stage
    replaces: Annotated[list[Hash], Field(max_length=200, default_factory=list)]
    unopened: bool = False

    @model_validator(mode="after")
    def _each_once(self) -> "ItemSeen":
        if len(set(self.items)) != len(self.items):
            raise ValueError("items: one is named twice")
        return self


class CaseClosed(Body):
    """A case was gone through and shut: what lay in it on the screen, and what should have and did not."""

    case: Code
    stage: Stage
    items: Annotated[list[Code], Field(max_length=100)]
    lacking: Annotated[list[Code], Field(max_length=100)]


class PartsCounted(Body):
    """So many loose parts without labels; counts of a stage add up."""

    stage: Stage
    part: Key
    of: Annotated[str, Field(pattern=r"^[a-z0-9_.+-]{0,40}$")]
    count: Annotated[int, Field(ge=1, le=100_000)]


class Damage(Body):
    """A part that somebody saw damaged: what is wrong, and how much it matters."""

    part: PartName
    what: Key
    weight: Literal["stop", "show", "cosmetic"]


class ItemLookedAt(Body):
    """Somebody looked at parts of a thing; what is covered and not named as damaged was sound."""

    item: Code
    stage: Stage
    covers: Annotated[list[PartName], Field(min_length=1, max_length=60)]
    damage: Annotated[list[Damage], Field(max_length=60, default_factory=list)]
    photo_blobs: Photos
    note_blob: Hash | None = None

    # JSON Schema cannot say that damage is among what was looked at: FORMAT.md does

    @model_validator(mode="after")
    def _covers_its_damage(self) -> "ItemLookedAt":
        seen = {name for part in self.covers for name in (part, part.partition(":")[0])}
        for item in self.damage:
            if item.part not in self.covers and item.part.partition(":")[0] not in seen:
                raise ValueError(f"damage: {item.part} is not among what was looked at")
        return self


class HireHandedOver(Body):
    """Things were handed over between two companies, with what they ran on.

    `hire` is "in" for things hired from the other side, "out" for things hired to it; `leg` is "out" when
    the hire begins and "back" when it ends.
    """

    hire: Literal["in", "out"]
    leg: Literal["out", "back"]
    party_blob: Hash
    items: Annotated[list[Code], Field(min_length=1, max_length=500)]
    firmware: ShortText | None
    configuration: ShortText | None
    photo_blobs: Photos
    note_blob: Hash | None = None


class Countersigned(Body):
    """The other side has seen a handover and agrees, or says what it sees otherwise."""

    entry: Hash
    agrees: bool
    name_blob: Hash
    note_blob: Hash | None = None

    model_config = published(only_when("agrees", [False], present("note_blob"), {}))

    @model_validator(mode="after")
    def _says_why(self) -> "Countersigned":
        if not self.agrees and self.note_blob is None:
            raise ValueError("note_blob: whoever does not agree says why")
        return self


class ItemBenched(Body):
    """A step at the bench: what it came to, which parts were repaired, what was used up, how long it took."""

    item: Code
    step: Literal["triage", "repair", "second_look"]
    result: Key
    mended: Annotated[list[PartName], Field(max_length=60, default_factory=list)]
    used: Annotated[
        dict[Key, Annotated[int, Field(ge=1, le=1000)]],
        Field(max_length=50, default_factory=dict),
        NO_OTHER_NAMES,
    ]
    minutes: Annotated[int, Field(ge=0, le=10_000)] | None = None
    photo_blobs: Photos
    note_blob: Hash | None = None

    model_config = published(
        *(
            only_when("step", [step], {"properties": {"result": {"enum": list(results)}}}, {})
            for step, results in BENCH_RESULTS.items()
        ),
        only_when("step", ["repair"], {}, absent("mended", "used")),
    )

    @model_validator(mode="after")
    def _fits_its_step(self) -> "ItemBenched":
        if self.result not in BENCH_RESULTS[self.step]:
            raise ValueError(f"result: {self.step} comes to one of {', '.join(BENCH_RESULTS[self.step])}")
        if (self.mended or self.used) and self.step != "repair":
            raise ValueError("mended, used: only a repair mends and uses parts up")
        return self


WAREHOUSE_BODIES: dict[str, type[Body]] = {
    "prep_listed": PrepListed,
    "item_seen": ItemSeen,
    "case_closed": CaseClosed,
    "parts_counted": PartsCounted,
    "item_looked_at": ItemLookedAt,
    "hire_handed_over": HireHandedOver,
    "countersigned": Countersigned,
    "item_benched": ItemBenched,
}

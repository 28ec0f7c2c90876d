"""What a procedure file holds: pydantic models."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from seamwalk.domain.wall.plan_model import Features

Key = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,39}$")]
FEATURES = tuple(Features.model_fields)
# what else a step may depend on: the phone knows it of the wall, or asks
FACTS = ("flown", "stacked", "floor", "bent", "points_known", "places_differ")
DONE = "ok"
Figure = Annotated[float, Field(ge=-1e6, le=1e6, allow_inf_nan=False)]
Keys = Annotated[tuple[Key, ...], Field(max_length=200)]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", json_schema_serialization_defaults_required=True)


class Input(_Part):
    """A reading that a step asks for: what can be true at all, and which limit of the wall it is held to.

    `over` and `under` are the reasons of the fault that a reading beyond that limit is; `over_to` is the
    step that one over it leads to instead. With `each` it is asked once for each of them, in their order:
    names and limits end in the number then, as in `point_kg_2`.
    """

    name: Key
    unit: Literal[
        "mm", "kg", "deg", "deg_c", "percent", "count", "min", "v", "ms", "ohm", "n_m", "m_s", "cd_m2"
    ]
    min: Figure
    max: Figure
    limit: Key | None = None
    over: Key | None = None
    under: Key | None = None
    over_to: Key | None = None
    each: Literal["point"] | None = None

    @model_validator(mode="after")
    def _is_held_to_a_limit(self) -> "Input":
        if self.limit is None and (self.over or self.under or self.over_to):
            raise ValueError("limit: is needed where something is over or under it")
        if self.over is not None and self.over_to is not None:
            raise ValueError(
                "over_to: a reading over the limit is a fault or leads to a step, one of the two"
            )
        return self


class Choice(_Part):
    """What may be so at a step, and where that leads: on to a step, to the end, or to a fault.

    `both`: the fault is one of the joint and of both its tiles. `unread`: this is the answer where nothing
    could be read off, so that nobody has to guess.
    """

    when: Key
    goto: Key | None = None
    fault: Key | None = None
    both: bool = False
    unread: bool = False

    @model_validator(mode="after")
    def _leads_somewhere(self) -> "Choice":
        if (self.goto is None) == (self.fault is None):
            raise ValueError("goto or fault is needed, one of the two")
        if self.both and self.fault is None:
            raise ValueError("both: only a fault is one of both tiles")
        return self


class Step(_Part):
    """One step; its text is `<procedure>.steps.<key>`. It is shown where the tile has what it needs.

    Without choices it leads to `then`, or to the step below it; the last one to the end. `call`: it says to
    call somebody, so the contacts of the show stand there.
    """

    key: Key
    needs: Keys = ()
    unless: Keys = ()
    input: Input | None = None
    text: bool = False
    photo: bool = False
    call: bool = False
    choices: Annotated[tuple[Choice, ...], Field(max_length=50)] = ()
    then: Key | None = None

    @model_validator(mode="after")
    def _asks_what_is_left_unread(self) -> "Step":
        if self.input is None and any(choice.unread for choice in self.choices):
            raise ValueError("unread: there is nothing to read off")
        return self

    def leads_to(self, below: str) -> list[str]:
        """The steps that may come after this one, `below` being the next in the file."""
        beyond = [self.input.over_to] if self.input is not None and self.input.over_to is not None else []
        if self.choices:
            return [*beyond, *(choice.goto for choice in self.choices if choice.goto is not None)]
        return [*beyond, self.then or below]


class Procedure(_Part):
    """One procedure; its texts stand under its key.

    It is either behind check kinds (`applies_to`), or an act of its own at a case, a tile or a wall; one that
    swaps a part names it.
    """

    key: Key
    applies_to: Annotated[tuple[str, ...], Field(max_length=200)] = ()
    at: Literal["case", "tile", "wall"] | None = None
    swaps: (
        Literal["module", "electronics_unit", "tile", "power_link", "outlet", "data_link", "ballast"] | None
    ) = None
    cautions: Keys = ()
    steps: Annotated[tuple[Step, ...], Field(min_length=1, max_length=200)]
    reasons: Keys = ()


class EditionFile(_Part):
    """The frozen file of an edition: procedures by key, texts by language and key."""

    v: Literal[1]
    procedures: dict[str, Procedure]
    texts: dict[str, dict[str, str]]

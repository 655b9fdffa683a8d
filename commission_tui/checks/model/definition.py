"""A check as a checklist file defines it."""

import math
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from commission_tui.checks.model.calendar_days import parsed_day, typed_day
from commission_tui.checks.model.physical_bounds import why_impossible
from commission_tui.checks.model.types import Limit, Standing, Value
from commission_tui.checks.model.vocabulary import Need, Setting
from commission_tui.checks.places.applicability import why_not_applicable
from commission_tui.errors import InputError
from commission_tui.figures import exact, reading_text, with_unit
from commission_tui.text import NO_CONTROLS, quoted
from commission_tui.wall.model.contract_model import Targets
from commission_tui.wall.model.file_values import Region
from commission_tui.wall.model.wall_model import Wall

Text = Annotated[str, Field(min_length=1, max_length=600, pattern=NO_CONTROLS)]
Label = Annotated[str, Field(min_length=1, max_length=120, pattern=NO_CONTROLS)]
"""What people call a field or a limit: a noun phrase, without the unit, printed as it stands."""
Slug = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
FieldName = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=40)]
CheckField = Annotated[
    str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*\.[a-z][a-z0-9_]*$", max_length=101)
]
"""A field of a check, such as `refresh.refresh_hz`."""
Number = Annotated[float, Field(allow_inf_nan=False)]

_LARGEST = 1e12
"""No quantity on site is larger; above it squares and sums would overflow."""


NOT_BEFORE, NOT_AFTER = "not before the visit", "not after the visit"
DATE_RULES = (NOT_BEFORE, NOT_AFTER)
"""What a date can be asked to be: still to come on the day of the visit, or past."""


class Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class FieldDefinition(Part):
    """One thing to record, at one or more places."""

    name: FieldName
    label: Label
    kind: Literal["number", "choice", "yes-no", "text", "date"] = "number"
    per: str = "wall"
    """A kind of place, or several joined by commas: `camera, grey level` is every pair."""
    places: tuple[Text, ...] = ()
    """A list of its own instead of a kind of place."""
    unit: str = ""
    low: Number | None = None
    high: Number | None = None
    """The sane range: outside it the tool asks again, it does not refuse."""
    choices: tuple[Text, ...] = ()
    good: tuple[Text, ...] = ()
    """The choices that are in order, or of a date one of `DATE_RULES`; none named means that the
    answer is only recorded."""
    measured: bool = False
    """Whether an instrument must be chosen for the unit before a reading is taken."""
    number_too: bool = False
    """Whether a text may be a bare number, as a version is; elsewhere one is asked about."""
    at_least: Annotated[int, Field(ge=0)] | None = None
    """How many places must be read; every one when not given."""

    @property
    def where(self) -> str | tuple[str, ...]:
        """The kind of place, or the field's own list of places."""
        return self.places or self.per

    def places_wanted(self, places: tuple[str, ...]) -> int:
        return len(places) if self.at_least is None else min(self.at_least, len(places))

    def accept(self, value: Value) -> Value:
        """Return the value in this field's type.

        Raises
        ------
        InputError
            When the value has no meaning for the field.
        """
        if self.kind == "number":
            return self._number(value)
        if self.kind == "yes-no":
            return self._yes_no(value)
        text = str(value).strip()
        if self.kind == "choice":
            match = [c for c in self.choices if c.lower() == text.lower()]
            if not match:
                raise InputError(
                    f"{self.label}: found {quoted(text)}, expected one of {', '.join(self.choices)}"
                )
            return match[0]
        if self.kind == "date":
            return typed_day(text, self.label).isoformat()
        if not text or len(text) > 2000:
            raise InputError(f"{self.label}: found {len(text)} characters, expected 1 to 2000")
        return text

    def _number(self, value: Value) -> float:
        if isinstance(value, str | bool) or not math.isfinite(value):
            raise InputError(f"{self.label}: found {value!r:.40}, expected a number in {self.unit}")
        if abs(value) > _LARGEST:
            raise InputError(f"{self.label}: found {value:g}, expected at most {_LARGEST:g}")
        if wanted := why_impossible(float(value), self.unit, self.low, self.high):
            found = with_unit(f"{value:g}", self.unit)
            raise InputError(f"{self.label}: found {found}, expected {wanted}")
        return float(value)

    def _yes_no(self, value: Value) -> bool:
        if isinstance(value, bool):
            return value
        word = str(value).strip().lower()
        if word in {"yes", "y", "true"}:
            return True
        if word in {"no", "n", "false"}:
            return False
        raise InputError(f"{self.label}: found {quoted(word)}, expected yes or no")

    def holds(self, value: Value) -> bool:
        """Whether a value logged earlier still is of this field's kind."""
        if self.kind == "number":
            return not isinstance(value, bool | str) and math.isfinite(value)
        if self.kind == "yes-no":
            return isinstance(value, bool)
        if self.kind == "date":
            return isinstance(value, str) and parsed_day(value) is not None
        return isinstance(value, str) and (self.kind == "text" or value in self.choices)

    def odd(self, value: Value) -> str:
        """Say why a number is outside the sane range, or nothing."""
        if isinstance(value, bool | str):
            return ""
        shown = reading_text(value, self.unit)
        if self.low is not None and value < self.low:
            return f"{shown} is below the expected minimum of {reading_text(self.low, self.unit)}"
        if self.high is not None and value > self.high:
            return f"{shown} is above the expected maximum of {reading_text(self.high, self.unit)}"
        return ""


class RegionalLimit(Part):
    """What takes a limit's place where a national code is in force."""

    source: Text
    standing: Standing
    low: Number | None = None
    high: Number | None = None
    """Bounds of its own; without either those of the limit stay."""


class LimitDefinition(Part):
    """A limit with its source; from the wall file's targets when the contract gives one."""

    name: FieldName
    label: Label
    unit: str = ""
    low: Number | None = None
    high: Number | None = None
    source: Text
    standing: Standing
    from_target: str | None = None
    """Name of a target in the wall file; when it is stated there, it replaces low and high."""
    minus_percent: Number | None = None
    plus_percent: Number | None = None
    minus: Number | None = None
    plus: Number | None = None
    """Tolerance round the target; a side without tolerance has no limit."""

    regions: dict[Region, RegionalLimit] = Field(default_factory=dict)
    """Who says so where the wall stands, by ISO 3166 code; quoted nowhere else."""

    def limit(self, wall: Wall) -> Limit:
        """Return the limit that holds for a wall.

        The contract's target is the contract's; a tolerance round it keeps the standing that it has of
        itself.
        """
        targets = wall.file.targets
        stated = self.from_target in targets.model_fields_set
        target = getattr(targets, self.from_target) if self.from_target and stated else None
        source, standing, bounds = self._untargeted(wall)
        if target is not None:
            tolerance = self._tolerance_text()
            found = f"{Targets.label(self.from_target or '')} {reading_text(target, self.unit)}"
            source = f"contract: {found}{tolerance}"
            standing = self.standing if tolerance else "contract"
            low = self._side(target, -1, self.minus_percent, self.minus)
            bounds = low, self._side(target, +1, self.plus_percent, self.plus)
        return Limit(self.name, self.unit, source, standing, *bounds, label=self.label)

    def _untargeted(self, wall: Wall) -> tuple[str, Standing, tuple[float | None, float | None]]:
        """Return who says so and the bounds, by the code of the wall's region or as everywhere."""
        standard: LimitDefinition | RegionalLimit = self
        for code, regional in self.regions.items():
            if wall.file.wall.stands_in(code):
                standard = regional
        own = self if standard.low is None and standard.high is None else standard
        return standard.source, standard.standing, (own.low, own.high)

    def _tolerance_text(self) -> str:
        parts = []
        for sign, percent, absolute in (
            ("-", self.minus_percent, self.minus),
            ("+", self.plus_percent, self.plus),
        ):
            if percent:
                parts.append(f"{sign}{percent:g} %")
            elif absolute:
                parts.append(f"{sign}{absolute:g}")
        return f", {' '.join(parts)}: {self.source}" if parts else ""

    def _side(
        self, target: float, sign: int, percent: float | None, absolute: float | None
    ) -> float | None:
        if percent is not None:
            return float(exact(target * (1 + sign * percent / 100)))
        return float(exact(target + sign * absolute)) if absolute is not None else None


class Worth(Part):
    """What a check is worth doing for, as guessed (common practice, no published source)."""

    cost: Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)]
    """What a fault of this kind costs on the opening night; 10 is no show."""
    finds: Annotated[int, Field(ge=0, le=1000)]
    of: Annotated[int, Field(ge=1, le=1000)]
    """In how many of so many jobs such a check finds one; the weight of the guess as well."""


class CheckDefinition(Part):
    """One check of a checklist file."""

    id: Slug
    title: Text
    why: Text
    do: Annotated[tuple[Text, ...], Field(min_length=1)]
    pattern: Text | None = None
    instrument: Text | None = None
    cautions: tuple[Text, ...] = ()
    method: str
    fields: Annotated[tuple[FieldDefinition, ...], Field(min_length=1)]
    limits: tuple[LimitDefinition, ...] = ()
    suspect: tuple[Text, ...] = ()
    retest: Text | None = None
    codes: tuple[Annotated[str, Field(pattern=r"^[A-Z]{1,3}[0-9]{1,3}$")], ...] = ()
    """Short names by which a person finds it as well; printed nowhere."""
    role: str | None = None
    """What it is to the document and the plan: one of `vocabulary.ROLES`."""
    applies: tuple[str, ...] = ()
    """Conditions of `places.applicability` that must all hold."""
    baseline: Slug | None = None
    """Id of the check whose readings on the first visit this one is held against."""
    beside: dict[FieldName, CheckField] = Field(default_factory=dict)
    """Fields of other checks that this one is judged with, by the name its method knows."""
    rests_on: tuple[Setting, ...] = ()
    """Settings that, once changed, leave its result no longer good."""
    retest_where: Literal["everywhere", "there", "there and around"] = "everywhere"
    """What to read again when such a setting is changed at one place only."""
    needs: tuple[Need, ...] = ()
    helped_by: tuple[Need, ...] = ()
    """What makes it quicker or better and can be done without."""
    after: tuple[Slug, ...] = ()
    """Checks that come before it where both are done: warm-up, tiles before evenness."""
    worth: Worth | None = None
    also: tuple[Text, ...] = ()
    """What technicians call it as well; it is found by these words too."""
    scope: tuple[Slug, ...] = ()
    """Sizes of a job that it stands in; `all` has every check. A firm's own that names none stands in
    every size."""
    hurts: bool = False
    """Whether what it looks for can hurt somebody: it then stands in every size."""
    blocks_acceptance: bool = True
    minutes: Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)] = 5

    @model_validator(mode="after")
    def _named_once(self) -> Self:
        for what in (self.fields, self.limits):
            names = [item.name for item in what]
            if len(set(names)) != len(names):
                raise ValueError("each field and each limit once")
        return self

    def field(self, name: str) -> FieldDefinition:
        """Return a field by name; raise InputError when the check has none of that name."""
        for item in self.fields:
            if item.name == name:
                return item
        known = ", ".join(item.name for item in self.fields)
        raise InputError(f"field: found {quoted(name)}, expected one of {known} (check {self.id})")

    def label_of(self, name: str) -> str:
        """Return what people call a field; one that the check no longer has, by its name."""
        return next((item.label for item in self.fields if item.name == name), name)

    def applies_to(self, wall: Wall) -> bool:
        return not why_not_applicable(self.applies, wall)

    @property
    def looks_at(self) -> frozenset[str]:
        """Ids of the other checks whose readings this one is judged with."""
        of = {known.partition(".")[0] for known in self.beside.values()}
        return frozenset(of if self.baseline is None else {*of, self.baseline})

    @property
    def record_only(self) -> bool:
        """Whether nothing is judged: words, and numbers without a limit."""
        return (
            not self.limits
            and self.method == "in_limits"
            and not any(item.kind == "yes-no" or item.good for item in self.fields)
        )


class Stage(Part):
    """One checklist file: a stage and its checks in the order in which they are done."""

    order: Annotated[int, Field(ge=0, le=99)]
    id: Slug
    title: Text
    hazard: str | None = None
    """What people can be hurt by in it: one of `vocabulary.HAZARDS`."""
    checks: Annotated[tuple[CheckDefinition, ...], Field(min_length=1)]

"""One target: what somebody asks of a figure, with its source; and how its TOML is read.

A table in a TOML file is one target. Its limits say themselves whether they are included: ``at_least``,
``more_than``, ``at_most``, ``less_than``; so the rule in words is made from them and can never disagree.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, cast

from debrief import words
from debrief.errors import BadSetting
from debrief.model.times import clock
from debrief.model.values import number

Kind = Literal["guideline", "consensus", "study", "registry", "site"]
Basis = Literal["seen", "second_hand", "memory"]

KINDS: tuple[Kind, ...] = ("site", "guideline", "consensus", "study", "registry")
"""Whose word a target is, in the order in which they decide a verdict."""
BASES: tuple[Basis, ...] = ("seen", "second_hand", "memory")
CONDITIONS = (
    "first_rhythm_shockable",
    "implanted_device_first",
    "advanced_airway",
    "amiodarone_first",
    "lidocaine_first",
)
"""What ``when`` may name; ``not `` in front turns one round."""

_REQUIRED = {"unit": str, "populations": list, "citation": str, "basis": str}
LIMITS = ("at_least", "more_than", "at_most", "less_than")
KEYS = (
    "figures",
    *_REQUIRED,
    *LIMITS,
    "when",
    "tolerance",
    "most",
    "dose_mg",
    "shocks",
    "by",
    "shown_beside",
    "grey_low",
    "grey_reason",
)
PER_KG = "/kg"
LAST_SHOCK = 99
"""A target that speaks up to this shock speaks of all from its first on."""


@dataclass(frozen=True)
class TargetRow:
    """What somebody asks of a figure.

    ``low`` and ``high`` are in ``unit``, widened by ``tolerance`` on either side where it is judged. A limit
    by weight never asks for more than ``most`` in all, which is in ``unit`` without the kilogram.
    ``shocks`` is the first and last shock that it speaks of, counted from 1; null: of any figure.
    ``shown_beside`` names figures, such as a median, beside which it stands without judging them.
    ``dose_mg`` is what its text says is given each time, where it is about something else. [mg]
    From ``grey_low`` up to ``low`` no verdict is given, for ``grey_reason``: the name of a sentence.
    """

    id: str
    edition: str
    kind: Kind
    figures: tuple[str, ...]
    unit: str
    low: float | None
    low_included: bool
    high: float | None
    high_included: bool
    populations: tuple[str, ...]
    citation: str
    basis: Basis
    when: tuple[str, ...] = ()
    tolerance: float = 0.0
    most: float | None = None
    dose_mg: float | None = None
    shocks: tuple[int, int] | None = None
    shown_beside: tuple[str, ...] = ()
    grey_low: float | None = None
    grey_reason: str | None = None
    confirmed: bool = False

    @property
    def judged(self) -> bool:
        """Whether it may give a verdict: what was written from memory may not until a site confirms it."""
        return self.basis != "memory" or self.confirmed

    def judges(self, figure: str) -> bool:
        """Whether it gives a verdict on this figure, rather than stand beside it."""
        return self.judged and figure in self.figures

    def speaks_of(self, figure: str) -> bool:
        """Whether it stands by this figure at all, judging it or not."""
        return figure in self.figures or figure in self.shown_beside

    @property
    def rule(self) -> str:
        """The limits in words: ``at least 60 %``."""
        low = None if self.low is None else amount(self.low, self.unit)
        high = None if self.high is None else amount(self.high, self.unit)
        if self.unit == "":
            return str(low)
        if low == high and not self.tolerance:
            rule = words.say("targets.exactly", limit=low)
        elif low == high:
            rule = str(low)
        elif low and high and self.low_included and self.high_included:
            rule = words.say("targets.between", low=low, high=high)
        else:
            rule = words.say("targets.and").join(self._phrases(low, high))
        if self.tolerance:
            rule = words.say("targets.tolerance", rule=rule, tolerance=amount(self.tolerance, self.unit))
        if self.most is not None:
            most = amount(self.most, self.unit.removesuffix(PER_KG))
            rule = words.say("targets.most", rule=rule, most=most)
        return rule

    @property
    def whom(self) -> str:
        """Whom and when it speaks of, in words: ``adult; first rhythm shockable``."""
        whom = ", ".join(words.say(f"targets.whom_{name}") for name in self.populations)
        said = [whom, *(words.say(f"targets.when_{condition.replace(' ', '_')}") for condition in self.when)]
        if self.shocks:
            first, last = self.shocks
            key = "one_shock" if first == last else "some_shocks" if last < LAST_SHOCK else "shocks_on"
            said.append(words.say(f"targets.{key}", first=first, last=last))
        return "; ".join(said)

    def _phrases(self, low: str | None, high: str | None) -> list[str]:
        phrases = []
        if low:
            phrases.append(
                words.say("targets.at_least" if self.low_included else "targets.more_than", limit=low)
            )
        if high:
            phrases.append(
                words.say("targets.at_most" if self.high_included else "targets.less_than", limit=high)
            )
        return phrases

    def lowest(self, weight_kg: float | None = None) -> float | None:
        """Return the lower limit with its tolerance, for somebody of this weight."""
        return None if self.low is None else self._capped(self.low, weight_kg) - self.tolerance

    def highest(self, weight_kg: float | None = None) -> float | None:
        """Return the upper limit with its tolerance, for somebody of this weight."""
        return None if self.high is None else self._capped(self.high, weight_kg) + self.tolerance

    def _capped(self, limit: float, weight_kg: float | None) -> float:
        return limit if self.most is None or not weight_kg else min(limit, self.most / weight_kg)

    def below(self, value: float, weight_kg: float | None = None) -> bool:
        """Whether a value lies under the lower limit."""
        limit = self.lowest(weight_kg)
        return limit is not None and (value < limit or (value == limit and not self.low_included))

    def above(self, value: float, weight_kg: float | None = None) -> bool:
        """Whether a value lies over the upper limit."""
        limit = self.highest(weight_kg)
        return limit is not None and (value > limit or (value == limit and not self.high_included))


def amount(value: float, unit: str) -> str:
    """Return a limit as it is spoken of, exactly: ``60 %``, ``10 s``, ``5 min``, ``4:44``, ``0.01 mg/kg``."""
    if unit == "":
        return words.say("targets.yes" if value else "targets.no")
    if unit == "1":
        return words.say("targets.percent", value=number(value * 100))
    if unit != "s" or value < 60:
        told = words.say("figures.per_minute") if unit == "/min" else unit
        return f"{number(value)} {told}".removesuffix(" count")
    return clock(value) if value % 60 else words.say("targets.minutes", value=f"{value / 60:.0f}")


def read_row(
    row_id: str, body: Mapping[str, Any], *, file: str, key: str, edition: str, kind: Kind
) -> TargetRow:
    """Read one target from its TOML table.

    Parameters
    ----------
    row_id
        The name it gets.
    body
        The table.
    file, key
        Where it stands, for the error.
    edition, kind
        Who asks for it.

    Raises
    ------
    BadSetting
        Where a key is missing, unknown or holds what cannot be.
    """
    for name in body:
        if name not in KEYS:
            raise bad(
                file, f"{key}.{name}", body[name], words.say("targets.write_keys", keys=", ".join(KEYS))
            )
    for name, kind_of in _REQUIRED.items():
        value = body.get(name)
        if not isinstance(value, kind_of) or (not value and name != "unit"):
            raise bad(file, f"{key}.{name}", value, words.say(f"targets.write_{name}"))
    figures, beside = _names(body, "figures", file, key), _names(body, "shown_beside", file, key)
    if not figures and not beside:
        raise bad(file, f"{key}.figures", body.get("figures"), words.say("targets.write_figures"))
    _check_names(body, "populations", words.POPULATIONS, file, key)
    _check_names(body, "when", (*CONDITIONS, *(f"not {name}" for name in CONDITIONS)), file, key)
    if body["basis"] not in BASES:
        raise bad(file, f"{key}.basis", body["basis"], words.say("targets.write_basis"))
    low, low_included = _limit(body, "at_least", "more_than", file, key)
    high, high_included = _limit(body, "at_most", "less_than", file, key)
    if (low is None and high is None) or (low is not None and high is not None and low > high):
        limits = {name: body[name] for name in LIMITS if name in body} or None
        raise bad(file, key, limits, words.say("targets.write_limits"))
    tolerance = _number(body, "tolerance", file, key) or 0.0
    if tolerance < 0:
        raise bad(file, f"{key}.tolerance", tolerance, words.say("targets.write_number"))
    most = _number(body, "most", file, key)
    if most is not None and (most <= 0 or not body["unit"].endswith(PER_KG)):
        raise bad(file, f"{key}.most", most, words.say("targets.write_most"))
    return TargetRow(
        id=row_id,
        edition=body.get("by", edition),
        kind=kind,
        figures=figures,
        unit=body["unit"],
        low=low,
        low_included=low_included,
        high=high,
        high_included=high_included,
        populations=tuple(body["populations"]),
        citation=body["citation"],
        basis=cast(Basis, body["basis"]),
        when=tuple(body.get("when", ())),
        tolerance=tolerance,
        most=most,
        dose_mg=_number(body, "dose_mg", file, key),
        shocks=_shocks(body, file, key),
        shown_beside=beside,
        grey_low=_number(body, "grey_low", file, key),
        grey_reason=body.get("grey_reason"),
    )


def bad(file: str, key: str, read: object, write: str) -> BadSetting:
    """Return the error that names file, key, what was read and what to write."""
    what = words.say("targets.nothing") if read is None else repr(read)
    return BadSetting(words.say("targets.bad", file=file, place=key, read=what, write=write))


def _number(body: Mapping[str, Any], name: str, file: str, key: str) -> float | None:
    value = body.get(name)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < float("inf"):
        raise bad(file, f"{key}.{name}", value, words.say("targets.write_number"))
    return float(value)


def _limit(
    body: Mapping[str, Any], included: str, excluded: str, file: str, key: str
) -> tuple[float | None, bool]:
    """Return one limit and whether it is included; writing it both ways is an error."""
    if included in body and excluded in body:
        raise bad(
            file,
            f"{key}.{excluded}",
            body[excluded],
            words.say("targets.write_one_of", one=included, other=excluded),
        )
    name = excluded if excluded in body else included
    return _number(body, name, file, key), name == included and name in body


def _names(body: Mapping[str, Any], name: str, file: str, key: str) -> tuple[str, ...]:
    """Return a list of figures that a table may hold."""
    names = body.get(name, [])
    if not isinstance(names, list) or not all(isinstance(figure, str) for figure in names):
        raise bad(file, f"{key}.{name}", names, words.say("targets.write_figures"))
    return tuple(names)


def _shocks(body: Mapping[str, Any], file: str, key: str) -> tuple[int, int] | None:
    """Return the first and last shock that a target speaks of."""
    shocks = body.get("shocks")
    if shocks is None:
        return None
    match shocks:
        case [int(first), int(last)] if 1 <= first <= last:
            return first, last
    raise bad(file, f"{key}.shocks", shocks, words.say("targets.write_shocks"))


def _check_names(body: Mapping[str, Any], name: str, known: tuple[str, ...], file: str, key: str) -> None:
    for value in body.get(name, ()):
        if value not in known:
            choices = words.say("targets.write_choices", choices=", ".join(known))
            raise bad(file, f"{key}.{name}", value, choices)

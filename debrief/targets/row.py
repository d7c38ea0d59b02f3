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

Kind = Literal["guideline", "consensus", "study", "registry", "site"]
Basis = Literal["seen", "second_hand", "memory"]

KINDS: tuple[Kind, ...] = ("site", "guideline", "consensus", "study", "registry")
"""Whose word a target is, in the order in which they decide a verdict."""
BASES: tuple[Basis, ...] = ("seen", "second_hand", "memory")
CONDITIONS = ("first_rhythm_shockable", "implanted_device_first", "advanced_airway")
"""What ``when`` may name; ``not `` in front turns one round."""

_REQUIRED = {"figures": list, "unit": str, "populations": list, "citation": str, "basis": str}
LIMITS = ("at_least", "more_than", "at_most", "less_than")
KEYS = (*_REQUIRED, *LIMITS, "when", "tolerance", "by", "shown_beside", "grey_low", "grey_reason")


@dataclass(frozen=True)
class TargetRow:
    """What somebody asks of a figure.

    ``low`` and ``high`` are in ``unit``, widened by ``tolerance`` on either side where it is judged.
    ``shown_beside`` names figures, such as a median, beside which it stands without judging them.
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
        return rule

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

    @property
    def lowest(self) -> float | None:
        """The lower limit with its tolerance."""
        return None if self.low is None else self.low - self.tolerance

    @property
    def highest(self) -> float | None:
        """The upper limit with its tolerance."""
        return None if self.high is None else self.high + self.tolerance

    def below(self, value: float) -> bool:
        """Whether a value lies under the lower limit."""
        limit = self.lowest
        return limit is not None and (value < limit or (value == limit and not self.low_included))

    def above(self, value: float) -> bool:
        """Whether a value lies over the upper limit."""
        limit = self.highest
        return limit is not None and (value > limit or (value == limit and not self.high_included))


def amount(value: float, unit: str) -> str:
    """Return an amount as a limit is spoken of: ``60 %``, ``10 s``, ``5 min``, ``4:44``, ``2 J/kg``."""
    if unit == "":
        return words.say("targets.yes" if value else "targets.no")
    if unit == "1":
        return words.say("targets.percent", value=f"{round(value * 100, 1):g}")
    if unit != "s" or value < 60:
        return f"{round(value, 1):g} {unit}".removesuffix(" count")
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
    return TargetRow(
        id=row_id,
        edition=body.get("by", edition),
        kind=kind,
        figures=tuple(body["figures"]),
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
        shown_beside=tuple(body.get("shown_beside", ())),
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


def _check_names(body: Mapping[str, Any], name: str, known: tuple[str, ...], file: str, key: str) -> None:
    for value in body.get(name, ()):
        if value not in known:
            choices = words.say("targets.write_choices", choices=", ".join(known))
            raise bad(file, f"{key}.{name}", value, choices)

"""Judge a figure against what is asked of it.

``met`` and ``not_met`` are given only where the whole of what the value can be lies on one side. A verdict
says inside or outside a published limit, never good or bad for anybody.
"""

from math import inf

from debrief import words
from debrief.errors import BadSetting
from debrief.model import contract, values
from debrief.model.contract import Verdict
from debrief.model.figures import Facts, Finding
from debrief.targets.edition import Edition
from debrief.targets.row import PER_KG, TargetRow

Judged = tuple[Verdict, str | None]
"""A verdict, and the sentence that goes with it."""


def judge(finding: Finding, edition: Edition, facts: Facts, beside: Edition | None = None) -> contract.Figure:
    """Return the figure as others read it; ``window`` and ``marks`` are left empty for the caller to fill.

    Every target that speaks is shown. The verdict is that of the first which is not ruled out, in the order
    site, guideline, consensus, study, registry; a registry's limit so judges a figure measured to the second
    only where nobody else speaks. A figure without a value never has the verdict ``no_target``: it says
    which kind of missing it is. What only a second edition asks stands last among ``other_targets``, each
    with its own verdict; it never changes that of the figure.
    """
    judged = [(row, *verdict_of(finding, row, facts)) for row in edition.speaking(finding.name, facts)]
    known = {row.id for row, *_ in judged}
    second = [row for row in beside.speaking(finding.name, facts) if row.id not in known] if beside else []
    chosen, verdict, because = decided(finding, edition, facts)
    because = because or finding.because
    missing = finding.value is None
    if because is None and (missing or verdict in ("uncertain", "no_data", "not_applicable")):
        because = words.say("targets.no_value")
    outside_unseen = missing and verdict == "not_met"
    return contract.Figure(
        name=finding.name,
        value=finding.value,
        unit=finding.unit,
        low=finding.observed if outside_unseen else finding.low,
        high=None if finding.open_above else finding.high,
        certainty="assessed" if finding.assessed else "not_assessed",
        verdict=verdict,
        because=because,
        settled_by=None,
        target=None if chosen is None else _target(chosen, finding, verdict, facts),
        other_targets=[
            *(_target(row, finding, its, facts) for row, its, _ in judged if row is not chosen),
            *(_target(row, finding, verdict_of(finding, row, facts)[0], facts) for row in second),
        ],
        window=[],
        marks=[],
    )


def decided(finding: Finding, edition: Edition, facts: Facts) -> tuple[TargetRow | None, Verdict, str | None]:
    """Return the target whose verdict is the figure's, that verdict, and the sentence that goes with it."""
    deciding = [row for row in edition.speaking(finding.name, facts) if row.judges(finding.name)]
    deciding.sort(key=lambda row: is_ruled_out(row, facts))
    if not deciding:
        return None, *_without_target(finding)
    return deciding[0], *verdict_of(finding, deciding[0], facts)


def is_ruled_out(target: TargetRow, facts: Facts) -> bool:
    """Return whether a target asks nothing of an event, since one of its conditions does not hold."""
    return any(_holds(name, facts) is False for name in target.when)


def verdict_of(finding: Finding, target: TargetRow, facts: Facts) -> Judged:
    """Return the verdict of one target on a figure, and a sentence wherever it is not ``met`` or ``not_met``.

    ``not_met`` of a figure without a value has a sentence too: it was not seen within the limit.
    """
    if not target.judges(finding.name):
        return "no_target", None
    if finding.state == "not_applicable":
        return "not_applicable", finding.because
    holds = {condition: _holds(condition, facts) for condition in target.when}
    failing = [condition for condition, held in holds.items() if held is False]
    if failing:
        return "not_applicable", words.say(f"targets.fails_{failing[0].replace(' ', '_')}")
    unknown = [condition for condition, held in holds.items() if held is None]
    if unknown:
        return "no_data", words.say(f"targets.unknown_{unknown[0].removeprefix('not ')}")
    if finding.state in ("not_seen", "ended"):
        return _of_missing(finding, target)
    if finding.state == "no_data" or finding.value is None:
        return "no_data", finding.because
    if finding.doubt is not None:
        return "uncertain", finding.doubt
    if target.unit == finding.unit:
        return _of_value(finding, target, 1.0, facts.weight_kg)
    if target.unit != f"{finding.unit}{PER_KG}":
        raise BadSetting(
            words.say(
                "targets.other_unit", id=target.id, figure=finding.name, read=target.unit, unit=finding.unit
            )
        )
    if not facts.weight_kg:
        return "no_data", words.say("targets.no_weight")
    return _of_value(finding, target, facts.weight_kg, facts.weight_kg)


def _holds(condition: str, facts: Facts) -> bool | None:
    """Return whether a condition holds; null where that is not known."""
    name = condition.removeprefix("not ")
    known: bool | None = getattr(facts, name)
    return known if known is None or name == condition else not known


def _without_target(finding: Finding) -> Judged:
    """Return the verdict where nobody asks anything: which kind of missing it is, or what is in doubt."""
    if finding.state in ("not_applicable", "ended"):
        return "not_applicable", finding.because
    if finding.value is None:
        return "no_data", finding.because
    return ("no_target", None) if finding.doubt is None else ("uncertain", finding.doubt)


def _of_missing(finding: Finding, target: TargetRow) -> Judged:
    """Judge what was not seen: the value, if there is any, is more than ``observed``."""
    observed_s = finding.observed or 0.0
    past = target.above(observed_s)
    ended = finding.state == "ended"
    seen = words.say(
        "targets.ended" if ended else "targets.not_seen",
        observed=values.value_words(observed_s, "s", finding.name, " "),
        rule=target.rule,
    )
    because = f"{finding.because} {seen}" if finding.because else seen
    if past:
        return "not_met", because
    return ("not_applicable" if ended else "no_data"), because


def _of_value(finding: Finding, target: TargetRow, per: float, weight_kg: float | None) -> Judged:
    """Judge a value, or where it was assessed the whole of its bounds, divided by ``per``."""

    def told(amount: float, other: float) -> str:
        return values.beside(amount, other, target.unit, finding.name, " ")

    value = float(finding.value or 0.0) / per
    low, high = value, value
    if finding.assessed:
        if finding.low is None or (finding.high is None and not finding.open_above):
            return "uncertain", finding.because or words.say("targets.no_bounds")
        low = finding.low / per
        high = value if finding.high is None else finding.high / per
    if finding.open_above:
        high = inf
    if target.above(low, weight_kg):
        return "not_met", None
    if target.below(high, weight_kg):
        if target.grey_low is not None and high >= target.grey_low:
            return "uncertain", words.say(f"targets.grey_{target.grey_reason}", value=told(value, value))
        return "not_met", None
    if high == inf:
        return "uncertain", finding.because or words.say("targets.lower_bound", value=told(value, value))
    if target.below(low, weight_kg) or target.above(high, weight_kg):
        return "uncertain", words.say(
            "targets.straddles", low=told(low, high), high=told(high, low), rule=target.rule
        )
    return "met", None


def _target(row: TargetRow, finding: Finding, verdict: Verdict, facts: Facts) -> contract.Target:
    return contract.Target(
        id=row.id,
        rule=row.rule,
        low=row.lowest(facts.weight_kg),
        low_included=row.low_included,
        high=row.highest(facts.weight_kg),
        high_included=row.high_included,
        unit=row.unit,
        kind=row.kind,
        edition=row.edition,
        citation=row.citation,
        basis=row.basis,
        judged=row.judges(finding.name),
        verdict=verdict,
    )

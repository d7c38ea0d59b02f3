"""From answers to findings: bounds by draws, reasons in words, and the facts that the judge asks for."""

from collections.abc import Mapping, Sequence

import numpy as np

from debrief import words
from debrief.measures import MEASURES, STATES, Answer, Why, shocks
from debrief.measures.drugs import first_antiarrhythmic
from debrief.measures.outcome import airway_in
from debrief.measures.registry import implanted_first, shockable
from debrief.model.axis import Floats
from debrief.model.event import WEIGHTS_KG, Context
from debrief.model.figures import Facts, Finding
from debrief.model.structure import ASSUMED, Course, People

LOW, HIGH = 0.025, 0.975
DEFINED_AT_LEAST = 0.95
COVERED_AT_LEAST = 0.8
FRACTIONS = ("chest_compression_fraction", "chest_compression_fraction_from_recognition")
UNITS = {measure.name: measure.unit for measure in MEASURES} | {"completeness": "1"}


def percentiles(values: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the 2.5 and 97.5 percentiles of each row over draws where defined, and the share defined.

    Order statistics, rounded outward. ``values``: float64, shape (n, draws), NaN where a draw has none.
    """
    ordered = np.sort(values, axis=1)
    count = np.isfinite(ordered).sum(axis=1)
    last = np.maximum(count - 1, 0)
    row = np.arange(len(ordered))
    low = ordered[row, np.floor(LOW * last).astype(np.int64)]
    high = ordered[row, np.ceil(HIGH * last).astype(np.int64)]
    return low, high, count / values.shape[1]


def bounded(value: Floats, drawn: Floats) -> tuple[Floats, Floats]:
    """Return bounds of each value from its draws, NaN where under 95 % of them have a value.

    ``value``: float64, shape (n,); ``drawn``: float64, shape (n, draws).
    """
    if not len(value):
        return value, value
    low, high, share = percentiles(drawn)
    known = (share >= DEFINED_AT_LEAST) & np.isfinite(value)
    return np.where(known, np.minimum(low, value), np.nan), np.where(known, np.maximum(high, value), np.nan)


def findings(
    course: Course, answers: Mapping[str, Answer], drawn: Mapping[str, Answer] | None
) -> list[Finding]:
    """Return the figures of one event, not yet judged.

    Parameters
    ----------
    answers : mapping of Answer, one slot each
        Measured at point times.
    drawn : mapping of Answer, one slot a draw, or None
        The same measured over draws; without, nothing is said of certainty.
    """
    names = list(answers)
    value = np.array([answers[name].value[0] for name in names])
    low = high = np.full(len(names), np.nan)
    if drawn is not None:
        low, high = bounded(value, np.array([drawn[name].value for name in names]))
    coverage = float(answers["compression_coverage"].value[0])
    assumed = bool(course.structure.basis[0] == ASSUMED)
    doubts: dict[str, str] = {}
    if coverage < COVERED_AT_LEAST:
        doubts |= dict.fromkeys(FRACTIONS, little_covered(coverage))
    if (shocks.loose(course) & (course.structure.shock_episode >= 0)).any():
        around = np.array([name.startswith(shocks.AROUND) for name in names])
        doubts |= {name: words.say("because.loose_shock") for name in np.array(names)[around].tolist()}
        low, high = np.where(around, np.nan, low), np.where(around, np.nan, high)
    return [
        finding(
            name, answers[name], float(low[i]), float(high[i]), drawn is not None, doubts.get(name), assumed
        )
        for i, name in enumerate(names)
    ]


def little_covered(coverage: float) -> str:
    """Return the sentence on fractions of which less was covered than they need. ``coverage``: share of 1."""
    return words.say("because.low_coverage", percent=round(100 * coverage))


def finding(
    name: str, answer: Answer, low: float, high: float, assessed: bool, doubt: str | None, assumed: bool
) -> Finding:
    """Return one figure of one event, not yet judged.

    Parameters
    ----------
    answer : Answer, one slot
        Measured at point times.
    low, high
        Its bounds, NaN for none.
    assessed
        Whether bounds were drawn.
    doubt
        Why there can be no verdict although there is a value.
    assumed
        Whether time zero is.
    """
    unit, value, why = UNITS[name], float(answer.value[0]), Why(int(answer.why[0]))
    if why is not Why.KNOWN:
        observed = None if answer.observed is None else number(float(answer.observed[0]))
        because = words.say(f"because.{why.name.lower()}")
        return Finding(name, unit, state=STATES[why], because=because, observed=observed)
    if unit == "":
        return Finding(name, unit, value=bool(value))
    by_registry_rule = name.startswith("registry_")
    lower_bound = assumed and name.startswith("time_to_")
    return Finding(
        name,
        unit,
        value=_written(value, unit),
        low=None if by_registry_rule else _written(low, unit),
        high=None if by_registry_rule or lower_bound else _written(high, unit),
        because=words.say("because.seldom_defined")
        if assessed and not by_registry_rule and np.isnan(low)
        else None,
        open_above=lower_bound,
        doubt=doubt,
        assessed=assessed and not by_registry_rule,
    )


def number(value: float) -> float | None:
    """Return a number for the contract: null for NaN."""
    return None if np.isnan(value) else float(value)


def _written(value: float, unit: str) -> float | None:
    """Return a value or bound for the contract: times to the microsecond."""
    return number(round(value, 6) if unit == "s" else value)


def population(context: Context) -> str:
    """Return the population: as stated, else from the age, else adult."""
    if context.population:
        return context.population
    if context.age_years is None:
        return "adult"
    return "infant" if context.age_years < 1 else "child" if context.age_years < 18 else "adult"


def people(*contexts: Context) -> People:
    """Return what the measures must know of who the events are about, one context an event."""
    of = [population(context) for context in contexts]
    weights = [weight_kg(context) for context in contexts]
    return People(
        np.array([one == "adult" for one in of], np.bool_),
        np.array([one == "newborn_at_birth" for one in of], np.bool_),
        np.array([np.nan if weight is None else weight for weight in weights], np.float64),
    )


def weight_kg(context: Context) -> float | None:
    """Return the weight, null where none is given or nobody weighs so little or so much. [kg]"""
    given = context.weight_kg
    return given if given is not None and WEIGHTS_KG[0] <= given <= WEIGHTS_KG[1] else None


def facts(course: Course, context: Context) -> Facts:
    """Return what the judge must know of the event."""
    return facts_of(course, [context])[0]


def facts_of(course: Course, contexts: Sequence[Context]) -> list[Facts]:
    """Return what the judge must know of each event. ``contexts``: one an event."""
    label, known = shockable(course)
    implanted = implanted_first(course).tolist()
    airway = (course.derived(airway_in) >= 0).tolist()
    first = first_antiarrhythmic(course).tolist()
    found = []
    for number, context in enumerate(contexts):
        shocks_first = bool(label[number]) if known[number] else None
        if context.first_rhythm in words.RHYTHMS:
            shocks_first = words.RHYTHMS[context.first_rhythm].shockable
        row = first[number]
        antiarrhythmic = course.structure.occurrences.detail.text(row) if row >= 0 else None
        found.append(
            Facts(
                population=population(context),
                weight_kg=weight_kg(context),
                first_rhythm_shockable=shocks_first,
                implanted_device_first=implanted[number],
                advanced_airway=airway[number],
                amiodarone_first=antiarrhythmic == "amiodarone",
                lidocaine_first=antiarrhythmic == "lidocaine",
            )
        )
    return found

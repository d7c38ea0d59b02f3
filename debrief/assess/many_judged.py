"""Figures of many events with their verdicts, in columns: judged once for all that are judged alike.

Without draws a verdict and its sentence hang on few things: what is known of the event, why there is no
value, on which side of each limit it lies. One event of each such class is judged as any other is.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import pyarrow as pa

from debrief.assess.findings import COVERED_AT_LEAST, FRACTIONS, UNITS, finding, little_covered
from debrief.measures import STATES, Answer, Why, shocks
from debrief.model.axis import Bools, Floats, Ints
from debrief.model.columns import MISSING, Codebook, float_array, int_array, repeated, text_array
from debrief.model.figures import Facts
from debrief.model.structure import ASSUMED, Course
from debrief.model.values import value_words
from debrief.targets import Edition, judge
from debrief.targets.row import PER_KG, TargetRow
from debrief.words import say

_MISSED = np.array([STATES[why] in ("not_seen", "ended") for why in Why])


def judged(
    course: Course, answers: Mapping[str, Answer], known: Sequence[Facts], edition: Edition
) -> pa.Table:
    """Return the figures of events measured without draws, those of an event together, in its order.

    Parameters
    ----------
    course, answers
        One slot an event.
    known
        One an event.

    Returns
    -------
    pyarrow.Table
        ``event`` (its number), ``name``, ``value``, ``unit``, ``low``, ``high``, ``certainty``, ``verdict``
        and ``because``: as `Assessment.judged` gives them one by one; yes is 1 and no is 0.
    """
    events, names = len(known), list(answers)
    texts = Codebook[str]()
    shape = (len(names), events)
    value, low = np.full(shape, np.nan), np.full(shape, np.nan)
    verdict, because = np.zeros(shape, np.int64), np.zeros(shape, np.int64)
    groups, group = _groups(known)
    coverage = answers["compression_coverage"].value
    percent = np.array([round(100 * one) if one < COVERED_AT_LEAST else -1 for one in coverage.tolist()])
    loose = np.zeros(events, np.bool_)
    structure = course.structure
    away = structure.shocks[shocks.loose(course) & (structure.shock_episode >= 0)]
    loose[structure.occurrences.event[away]] = True
    assumed = structure.basis == ASSUMED
    for row, name in enumerate(names):
        answer = answers[name]
        found = _written(answer.value, UNITS[name])
        doubt = np.full(events, -1)
        if name in FRACTIONS:
            doubt = percent
        elif name.startswith(shocks.AROUND):
            doubt = np.where(loose, 0, -1)
        lower = assumed if name.startswith("time_to_") else np.zeros(events, np.bool_)
        first, of = _classes(name, answer, found, edition, group, doubt, lower, structure.people.weight)
        figures = []
        for event in first.tolist():
            said = None
            if doubt[event] >= 0:
                in_fraction = name in FRACTIONS
                said = little_covered(float(coverage[event])) if in_fraction else say("because.loose_shock")
            alone = finding(name, _of_one(answer, event), np.nan, np.nan, False, said, bool(assumed[event]))
            whom = replace(groups[group[event]], weight_kg=known[event].weight_kg)
            figures.append(judge(alone, edition, whom))
        verdict[row] = np.array([texts[one["verdict"]] for one in figures], np.int64)[of]
        said_of = [MISSING if one["because"] is None else texts[one["because"]] for one in figures]
        because[row] = np.array(said_of, np.int64)[of]
        if answer.observed is not None:
            unseen = np.array([one["low"] is not None for one in figures], np.bool_)[of]
            low[row] = np.where(unseen, answer.observed, np.nan)
        value[row] = found
    return _table(names, events, value, low, verdict, because, list(texts))


def _groups(known: Sequence[Facts]) -> tuple[list[Facts], Ints]:
    """Return what is known of events, their weights left out, each once, and which of them each event has."""
    found: dict[Facts, int] = {}
    group = [found.setdefault(replace(one, weight_kg=None), len(found)) for one in known]
    return list(found), np.array(group, np.int64)


def _classes(
    name: str,
    answer: Answer,
    value: Floats,
    edition: Edition,
    group: Ints,
    doubt: Ints,
    lower: Bools,
    weight: Floats,
) -> tuple[Ints, Ints]:
    """Return one event of each class that is judged alike, and the class of each event.

    A class has one amount in words where its sentence names it, one event alone where its weight matters.
    """
    rows = [row for row in edition.targets if row.judges(name)]
    known = np.isfinite(value)
    amount = value
    if answer.observed is not None:
        amount = np.where(_MISSED[answer.why], answer.observed, value)
    told = (known & lower) | (_MISSED[answer.why] & bool(rows))
    key = [group, answer.why, doubt, lower.astype(np.int64)]
    for row in rows:
        if row.unit.endswith(PER_KG):
            key.append(np.where(known & np.isfinite(weight), np.arange(len(value)), -1))
        for limit in _limits(row):
            key += [(amount > limit).astype(np.int64), (amount >= limit).astype(np.int64)]
        if row.grey_low is not None:
            told |= known & (value >= row.grey_low)
    return _alike([*key, _in_words(np.where(told, amount, np.nan), name)])


def _in_words(amount: Floats, name: str) -> Ints:
    """Return which amounts are told alike: int64, shape (n,)."""
    texts = Codebook[str]()
    some, of = np.unique(amount, return_inverse=True)
    words = [texts["" if np.isnan(one) else value_words(one, UNITS[name], name)] for one in some.tolist()]
    return np.array(words, np.int64)[of]


def _limits(row: TargetRow) -> list[float]:
    return [limit for limit in (row.lowest(), row.highest()) if limit is not None]


def _of_one(answer: Answer, event: int) -> Answer:
    observed = None if answer.observed is None else answer.observed[[event]]
    return Answer(answer.value[[event]], answer.why[[event]], observed)


def _alike(key: Sequence[Ints]) -> tuple[Ints, Ints]:
    """Return the first event of each kind, those alike in every key being one, and the kind of each event."""
    code = np.zeros(len(key[0]), np.int64)
    for line in key:
        _, part = np.unique(line, return_inverse=True)
        _, code = np.unique(code * (int(part.max(initial=0)) + 1) + part, return_inverse=True)
    _, first = np.unique(code, return_index=True)
    return first, code


def _written(value: Floats, unit: str) -> Floats:
    """Return values as the contract has them: times to the microsecond, as `round` gives them."""
    if unit != "s":
        return value
    micro = value * 1e6
    near = np.flatnonzero(np.abs(np.abs(micro - np.trunc(micro)) - 0.5) < 0.01)
    found = np.round(value, 6)
    found[near] = [round(one, 6) for one in value[near].tolist()]
    return found


def _table(
    names: Sequence[str],
    events: int,
    value: Floats,
    low: Floats,
    verdict: Ints,
    because: Ints,
    texts: Sequence[str],
) -> pa.Table:
    words, count = _texts(texts), len(names)
    figure = np.tile(np.arange(count), events)
    columns = {
        "event": int_array(np.repeat(np.arange(events), count)),
        "name": pa.DictionaryArray.from_arrays(int_array(figure), _texts(names)),
        "value": float_array(value.T.ravel()),
        "unit": pa.DictionaryArray.from_arrays(int_array(figure), _texts([UNITS[name] for name in names])),
        "low": float_array(low.T.ravel()),
        "high": pa.nulls(events * count, pa.float64()),
        "certainty": pa.repeat("not_assessed", events * count),
        "verdict": pa.DictionaryArray.from_arrays(int_array(verdict.T.ravel()), words),
        "because": pa.DictionaryArray.from_arrays(int_array(because.T.ravel()), words),
    }
    return pa.table({name: _plain(column) for name, column in columns.items()})


def _texts(texts: Sequence[str]) -> pa.Array:
    return text_array(repeated(texts)) if texts else pa.nulls(0, pa.string())


def _plain(column: pa.Array) -> pa.Array:
    return column.cast(pa.string()) if pa.types.is_dictionary(column.type) else column

"""Kaplan-Meier against published tables, scipy and statsmodels."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import CensoredData, ecdf
from statsmodels.duration.survfunc import SurvfuncRight

from debrief.cohorts.survival import kaplan_meier


def curve(text):
    """Read times as papers write them: a plus is who was lost then."""
    words = text.split()
    return kaplan_meier(
        [float(word.rstrip("+")) for word in words], [not word.endswith("+") for word in words]
    )


def waiting(found):
    return {step.time: step.waiting for step in found.steps}


def test_units_on_test_are_those_of_the_handbook():
    """NIST/SEMATECH e-Handbook 8.2.1.5; times and first rows seen, the rest worked out apart."""
    found = curve("10 32 50+ 56 98 100+ 122 125+ 150+ 181" + " 200+" * 10)

    assert [step.at_risk for step in found.steps] == [20, 19, 17, 16, 14, 11]
    assert [step.waiting for step in found.steps] == pytest.approx(
        [0.95, 0.90, 0.8471, 0.7941, 0.7374, 0.6704], abs=5e-5
    )
    assert found.median is None


def test_patients_are_those_of_the_review():
    """Bewick V et al., Crit Care 2004;8:389-94, Table 2: lost at 9 counts as at risk of the death at 9."""
    found = curve("1 1 4 5 6+ 9 9+ 22")

    assert waiting(found) == pytest.approx({1: 0.750, 4: 0.625, 5: 0.5, 9: 1 / 3, 22: 0}, abs=5e-4)
    assert found.median == 5
    assert (found.steps[-1].low, found.steps[-1].error) == (None, None)


def test_remissions_are_those_of_freireich():
    """Freireich 1963, 6-MP and placebo; data of the first from memory, its errors are Greenwood's."""
    treated = curve("6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+")
    placebo = curve("1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23")

    assert [(step.waiting, step.error) for step in treated.steps] == [
        pytest.approx(row, abs=5e-5)
        for row in (
            *[(0.8571, 0.0764), (0.8067, 0.0869), (0.7529, 0.0963), (0.6902, 0.1068), (0.6275, 0.1141)],
            *[(0.5378, 0.1282), (0.4482, 0.1346)],
        )
    ]
    assert treated.median == 23
    assert waiting(placebo)[1] == pytest.approx(0.905, abs=5e-4)
    assert waiting(placebo)[8] == pytest.approx(0.381, abs=5e-4)
    assert next(step.error for step in placebo.steps if step.time == 8) == pytest.approx(0.106, abs=5e-4)


people = st.lists(st.tuples(st.integers(1, 12), st.booleans()), min_size=2, max_size=40).filter(
    lambda rows: any(seen for _, seen in rows)
)


@pytest.mark.filterwarnings("ignore::RuntimeWarning")  # of both, where nobody waits any more
@given(people)
def test_curves_and_intervals_are_those_of_two_libraries(rows):
    times, seen = (np.array(column) for column in zip(*rows, strict=True))
    found = kaplan_meier(times, seen)
    other = SurvfuncRight(times, seen)
    survival = ecdf(CensoredData.right_censored(times, ~seen)).sf
    band = survival.confidence_interval(0.95, method="log-log")

    steps = [step for step in found.steps if step.waiting > 0]
    rows_of = np.searchsorted(survival.quantiles, [step.time for step in steps])
    assert [step.time for step in found.steps] == other.surv_times.tolist()
    assert [step.waiting for step in found.steps] == pytest.approx(other.surv_prob.tolist(), abs=1e-12)
    assert [step.error for step in steps] == pytest.approx(
        other.surv_prob_se[: len(steps)].tolist(), abs=1e-12
    )
    assert [step.low for step in steps] == pytest.approx(band.low.probabilities[rows_of].tolist(), abs=1e-9)
    assert [step.high for step in steps] == pytest.approx(band.high.probabilities[rows_of].tolist(), abs=1e-9)

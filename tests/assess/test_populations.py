"""Who was treated decides what is asked: contradictions are visible, a newborn has times and doses alone."""

import pytest

from debrief.assess import Asked
from debrief.measures import MEASURES
from tests.made import assessed, compressions, figures, row

CODE = [row(0, "recognition"), *compressions((10, 300)), row(320, "rosc")]


def codes(**context):
    """Return the codes of what is odd about an event of this context."""
    return [problem.code for problem in assessed(CODE, **context).problems]


@pytest.mark.parametrize(
    ("context", "odd"),
    [
        ({"population": "adult", "age_years": 6}, True),
        ({"population": "adult", "weight_kg": 20}, True),
        ({"weight_kg": 20}, True),  # neither population nor age: read as an adult
        ({"population": "adult", "age_years": 16, "weight_kg": 55}, False),
        ({"population": "adult"}, False),
        ({"population": "child", "age_years": 40}, True),
        ({"population": "child", "age_years": 0.5}, True),
        ({"population": "child", "weight_kg": 3}, True),
        ({"population": "child", "age_years": 6, "weight_kg": 20}, False),
        ({"age_years": 6, "weight_kg": 20}, False),
        ({"age_years": 0.5, "weight_kg": 7}, False),
        ({"population": "infant", "age_years": 3}, True),
        ({"population": "infant", "weight_kg": 20}, True),
        ({"population": "newborn_at_birth", "weight_kg": 3.2}, False),
        ({"population": "newborn_at_birth", "weight_kg": 12}, True),
        ({"population": "newborn_at_birth", "age_years": 1}, True),
    ],
)
def test_a_population_that_age_or_weight_contradict_is_visible(context, odd):
    assert ("population_odd" in codes(**context)) == odd


def test_the_problem_names_what_does_not_fit():
    found = assessed(CODE, population="adult", age_years=6, weight_kg=20).problems
    message = next(problem.message for problem in found if problem.code == "population_odd")
    assert "Taken as adult, which does not fit an age of 6 years and a weight of 20 kg." in message


@pytest.mark.parametrize("weight_kg", [0.1, 400])
def test_a_weight_that_cannot_be_is_a_problem_and_measures_nothing(weight_kg):
    """Neither the figure nor the verdict by weight uses it."""
    rows = [*CODE, row(60, "shock", amount=40, unit="J"), row(50, "rhythm", "vf")]
    made = assessed(rows, population="child", weight_kg=weight_kg)
    found = figures(made.to_dict())
    assert "weight_odd" in [problem.code for problem in made.problems]
    assert (found["energy_per_kg"]["value"], found["energy_per_kg"]["verdict"]) == (None, "no_data")
    assert found["first_shock_energy"]["verdict"] == "no_data"
    assert "weight" in found["first_shock_energy"]["because"]


NEWBORN = [
    row(0, "recognition"),
    row(30, "ventilation"),
    *compressions((60, 400)),
    row(120, "airway", "tube"),
    row(180, "drug", "epinephrine", amount=0.06, unit="mg", route="iv"),
    row(420, "drug", "epinephrine", amount=0.06, unit="mg", route="iv"),
    row(480, "rosc"),
]


class TestNewbornAtBirth:
    """Times and doses only."""

    report = assessed(NEWBORN, population="newborn_at_birth", weight_kg=3.0).to_dict()
    found = figures(report)

    def test_figures_of_hands_are_off_with_the_reason(self):
        for measure in MEASURES:
            if measure.hands:
                figure = self.found[measure.name]
                assert figure["value"] is None
                assert figure["verdict"] == "not_applicable"
                assert "newborn" in figure["because"]
                assert figure["target"] is None
                assert figure["other_targets"] == []

    def test_times_and_doses_are_measured_and_judged(self):
        assert self.found["time_to_first_epinephrine"]["value"] == 180.0
        assert self.found["time_to_advanced_airway"]["value"] == 120.0
        assert self.found["dose_per_kg"]["value"] == pytest.approx(0.02)
        assert self.found["dose_per_kg"]["verdict"] == "met"
        assert self.found["dose_per_kg"]["target"]["id"] == "aha_2020.epinephrine_dose_newborn"
        assert [dose["verdict"] for dose in self.report["doses"]] == [None, "met"]

    def test_no_problem_is_made_of_what_fits(self):
        assert "population_odd" not in [problem["code"] for problem in self.report["problems"]]

    def test_nothing_of_an_adult_or_child_is_asked(self):
        for figure in self.found.values():
            for target in filter(None, (figure["target"], *figure["other_targets"])):
                assert "newborn" in target["id"] or target["kind"] == "registry"


def test_each_shock_of_a_child_is_judged_by_its_number():
    """2 J/kg, then 4 J/kg: the same energy twice is right once."""
    rows = [
        row(0, "recognition"),
        row(5, "rhythm", "vf"),
        *compressions((10, 58), (62, 178), (182, 300)),
        row(60, "shock", amount=40, unit="J"),
        row(180, "shock", amount=40, unit="J"),
        row(320, "rosc"),
    ]
    report = assessed(rows, population="child", age_years=6, weight_kg=20).to_dict()
    assert [shock["verdicts"]["energy_per_kg"] for shock in report["shocks"]] == ["met", "not_met"]
    assert figures(report)["energy_per_kg"]["verdict"] == "met"
    adult = assessed(rows).to_dict()
    assert all("energy_per_kg" not in shock["verdicts"] for shock in adult["shocks"])


def test_the_antiarrhythmic_that_was_given_decides_which_dose_is_asked():
    drug = row(200, "drug", "lidocaine", amount=100, unit="mg", route="iv")
    report = assessed([*CODE, drug], asked=Asked("ERC 2025", draws=0)).to_dict()
    figure = figures(report)["antiarrhythmic_dose"]
    assert (figure["verdict"], figure["target"]["id"]) == ("met", "erc_2025.lidocaine_adult")


def test_the_registry_measures_no_adults_first_compression():
    """A value nobody asks for would only look like a measure."""
    adult = figures(assessed(CODE).to_dict())["registry_first_compression"]
    child = figures(assessed(CODE, population="child", age_years=6).to_dict())["registry_first_compression"]
    assert (adult["value"], adult["verdict"]) == (None, "not_applicable")
    assert adult["because"]
    assert (child["value"], child["verdict"]) == (0.0, "met")


SHOCKED = [
    row(0, "recognition"),
    row(5, "rhythm", "vf"),
    *compressions((10, 58), (65, 178), (182, 300)),
    row(60, "shock", amount=120, unit="J"),
    row(180, "shock", amount=120, unit="J"),
    row(320, "rosc"),
]


class TestTwoEditions:
    """What a second edition asks stands beside the first, on each figure."""

    def test_verdicts_and_the_rest_stay_those_of_the_first(self):
        alone = assessed(SHOCKED, asked=Asked("AHA 2020", draws=0)).to_dict()
        both = assessed(SHOCKED, asked=Asked("AHA 2020", draws=0, beside="ERC 2021")).to_dict()
        assert (alone["parameters"]["beside"], both["parameters"]["beside"]) == (None, "ERC 2021")
        for first, second in zip(alone["figures"], both["figures"], strict=True):
            kept = len(first["other_targets"])
            assert second["other_targets"][:kept] == first["other_targets"]
            assert all(target["edition"].startswith("ERC 2021") for target in second["other_targets"][kept:])
            assert {**second, "other_targets": []} == {**first, "other_targets": []}

    def test_each_says_its_own(self):
        both = figures(assessed(SHOCKED, asked=Asked("AHA 2020", draws=0, beside="ERC 2021")).to_dict())
        energy = both["first_shock_energy"]
        assert energy["verdict"] == "no_target"
        assert [(one["edition"], one["verdict"]) for one in energy["other_targets"]] == [
            ("ERC 2021", "not_met")
        ]

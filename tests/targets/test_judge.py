"""The judge: what lies wholly on one side has a verdict, all else a sentence."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief import targets
from debrief.model.figures import Facts, Finding
from debrief.targets.row import TargetRow

ADULT = Facts(first_rhythm_shockable=True)


def target(**changes):
    """Return a target of less than 10 s, changed as asked."""
    body = {
        "id": "x",
        "edition": "x",
        "kind": "guideline",
        "figures": ("f",),
        "unit": "s",
        "low": None,
        "low_included": False,
        "high": 10.0,
        "high_included": False,
        "populations": ("adult",),
        "citation": "Invented 2026.",
        "basis": "seen",
    }
    return TargetRow(**{**body, **changes})


def at_least(low, **changes):
    return target(low=low, low_included=True, high=None, **changes)


def finding(value=None, low=None, high=None, **changes):
    """Return a finding; assessed where it has bounds."""
    return Finding("f", "s", value, low, high, assessed=low is not None, **changes)


BETWEEN = target(low=180.0, low_included=True, high=300.0, high_included=True)


@pytest.mark.parametrize(
    ("measured", "asked", "verdict"),
    [
        # without bounds, on the value; < and <= differ
        (finding(9.9), target(), "met"),
        (finding(10.0), target(), "not_met"),
        (finding(10.0), target(high_included=True), "met"),
        (finding(10.1), target(high_included=True), "not_met"),
        (finding(0.8), at_least(0.8), "met"),
        (finding(0.8), target(low=0.8, high=None), "not_met"),
        (finding(180.0), BETWEEN, "met"),
        (finding(300.0), BETWEEN, "met"),
        (finding(300.1), BETWEEN, "not_met"),
        (finding(179.9), BETWEEN, "not_met"),
        # with bounds, on the whole of them
        (finding(8.0, 7.0, 9.0), target(), "met"),
        (finding(8.0, 7.0, 10.0), target(), "uncertain"),
        (finding(9.0, 8.0, 11.0), target(), "uncertain"),
        (finding(11.0, 10.0, 12.0), target(), "not_met"),
        (finding(240.0, 170.0, 310.0), BETWEEN, "uncertain"),
        (finding(150.0, 140.0, 179.0), BETWEEN, "not_met"),
        (finding(330.0, 301.0, 340.0), BETWEEN, "not_met"),
        (finding(8.0, None, None, open_above=False), target(), "met"),
        # tolerance widens both ends
        (finding(10.5), target(tolerance=1.0), "met"),
        (finding(11.0), target(tolerance=1.0), "not_met"),
        (finding(170.0), target(low=180.0, low_included=True, high=300.0, tolerance=10.0), "met"),
        # an assumed time zero: never met, not met once the least it can be is past the limit
        (finding(3.0, open_above=True), target(), "uncertain"),
        (finding(30.0, open_above=True), target(), "not_met"),
        (finding(9.0, 8.0, open_above=True), target(), "uncertain"),
        (finding(30.0, 9.0, open_above=True), target(), "uncertain"),
        (finding(30.0, 11.0, open_above=True), target(), "not_met"),
        (finding(100.0, open_above=True), at_least(2.0), "uncertain"),
        (finding(1.0, open_above=True), at_least(2.0), "uncertain"),
        # a doubt stands before any value
        (finding(9.0, doubt="Seen in part."), target(), "uncertain"),
        (finding(30.0, doubt="Seen in part."), target(), "uncertain"),
        # what is missing
        (finding(state="no_data", because="No source."), target(), "no_data"),
        (finding(state="not_applicable", because="None."), target(), "not_applicable"),
        (finding(state="not_seen", observed=60.0), target(), "not_met"),
        (finding(state="not_seen", observed=10.0), target(), "not_met"),
        (finding(state="not_seen", observed=10.0), target(high_included=True), "no_data"),
        (finding(state="not_seen", observed=9.0), target(), "no_data"),
        (finding(state="not_seen", observed=999.0), at_least(2.0), "no_data"),
        (finding(state="ended", observed=9.0), target(), "not_applicable"),
        (finding(state="ended", observed=10.0), target(high_included=True), "not_applicable"),
        (finding(state="ended", observed=60.0), target(), "not_met"),
        # yes and no
        (Finding("f", "", True), at_least(1.0, unit=""), "met"),
        (Finding("f", "", False), at_least(1.0, unit=""), "not_met"),
        # from memory
        (finding(9.0), target(basis="memory"), "no_target"),
        (finding(9.0), target(basis="memory", confirmed=True), "met"),
    ],
)
def test_verdicts(measured, asked, verdict):
    """The truth table; and every verdict that is none of yes and no has its sentence."""
    given_verdict, because = targets.verdict_of(measured, asked, ADULT)
    assert given_verdict == verdict
    if verdict in ("uncertain", "no_data", "not_applicable"):
        assert because
        assert because[0].isupper()
        assert because.endswith(".")


def test_assessed_without_bounds_is_uncertain():
    """Where too few draws gave a figure, its value alone decides nothing."""
    measured = Finding("f", "s", 3.0, assessed=True)
    verdict, because = targets.verdict_of(measured, target(), ADULT)
    assert verdict == "uncertain"
    assert "bounds" in because


@pytest.mark.parametrize(
    ("condition", "known", "verdict"),
    [
        ("first_rhythm_shockable", Facts(first_rhythm_shockable=True), "met"),
        ("first_rhythm_shockable", Facts(first_rhythm_shockable=False), "not_applicable"),
        ("first_rhythm_shockable", Facts(first_rhythm_shockable=None), "no_data"),
        ("not first_rhythm_shockable", Facts(first_rhythm_shockable=True), "not_applicable"),
        ("not first_rhythm_shockable", Facts(first_rhythm_shockable=False), "met"),
        ("not first_rhythm_shockable", Facts(first_rhythm_shockable=None), "no_data"),
        ("not implanted_device_first", Facts(implanted_device_first=True), "not_applicable"),
        ("advanced_airway", Facts(advanced_airway=False), "not_applicable"),
        ("advanced_airway", Facts(advanced_airway=True), "met"),
    ],
)
def test_a_condition_decides_before_the_value(condition, known, verdict):
    """False: it does not apply. Not known: nobody can say."""
    given_verdict, because = targets.verdict_of(finding(3.0), target(when=(condition,)), known)
    assert given_verdict == verdict
    assert (because is None) == (verdict == "met")


def test_what_certainly_does_not_apply_needs_no_other_condition():
    """An unknown rhythm is no matter where an implanted device shocked first."""
    both = target(when=("first_rhythm_shockable", "not implanted_device_first"))
    assert targets.verdict_of(finding(3.0), both, Facts(implanted_device_first=True))[0] == "not_applicable"


def test_the_first_target_that_is_not_ruled_out_decides():
    """A guideline for another rhythm leaves the verdict to the study."""
    other = target(id="a", figures=("f",), when=("not first_rhythm_shockable",), high=5.0)
    study = target(id="b", kind="study", figures=("f",))
    figure = targets.judge(finding(7.0), targets.Edition("x", (other, study)), ADULT)
    assert (figure["target"]["id"], figure["verdict"]) == ("b", "met")
    assert [row["verdict"] for row in figure["other_targets"]] == ["not_applicable"]


def test_what_does_not_apply_is_not_blamed_for_not_being_seen():
    """No shock in an arrest that was never shockable is no missed shock."""
    unseen = finding(state="not_seen", observed=999.0)
    verdict, because = targets.verdict_of(
        unseen, target(when=("first_rhythm_shockable",)), Facts(first_rhythm_shockable=False)
    )
    assert (verdict, because) == (
        "not_applicable",
        "The first rhythm was not shockable, so this does not apply.",
    )


class TestByWeight:
    """Energy of a child's first shock against J/kg."""

    asked = target(
        unit="J/kg",
        low=2.0,
        low_included=True,
        high=2.0,
        high_included=True,
        tolerance=0.5,
        populations=("child",),
    )

    @pytest.mark.parametrize(
        ("energy_j", "verdict"),
        [(30.0, "met"), (50.0, "met"), (20.0, "not_met"), (60.0, "not_met"), (70.0, "not_met")],
    )
    def test_the_energy_is_divided_by_the_weight(self, energy_j, verdict):
        measured = Finding("f", "J", energy_j)
        assert targets.verdict_of(measured, self.asked, Facts("child", weight_kg=20.0))[0] == verdict

    def test_the_figure_names_the_limits_with_their_tolerance(self):
        """So that the verdict can be computed again from what is written out."""
        child = Facts("child", weight_kg=20.0)
        figure = targets.judge(Finding("first_shock_energy", "J", 40.0), targets.load(), child)
        limits = [figure["target"][key] for key in ("low", "high", "unit", "rule")]
        assert limits == [1.5, 2.5, "J/kg", "2 J/kg, give or take 0.5 J/kg"]

    def test_without_a_weight_there_is_no_data(self):
        verdict, because = targets.verdict_of(Finding("f", "J", 40.0), self.asked, Facts("child"))
        assert verdict == "no_data"
        assert "weight" in because


@pytest.mark.parametrize(
    ("energy_j", "verdict"),
    [(120.0, "not_met"), (130.0, "uncertain"), (149.0, "uncertain"), (150.0, "met"), (200.0, "met")],
)
def test_a_grey_zone_has_a_sentence_and_no_verdict(energy_j, verdict):
    """130 to 150 J is right for one waveform and low for others."""
    figure = targets.judge(Finding("first_shock_energy", "J", energy_j), targets.load("ERC 2021"), ADULT)
    assert figure["verdict"] == verdict
    assert ("waveform" in (figure["because"] or "")) == (verdict == "uncertain")


class TestFigure:
    """What the judge hands on: the contract's figure."""

    def test_a_figure_without_a_target_has_none(self):
        figure = targets.judge(Finding("hands_off_time", "s", 42.0), targets.load(), ADULT)
        assert (figure["verdict"], figure["target"], figure["other_targets"]) == ("no_target", None, [])
        assert figure["because"] is None

    def test_a_doubt_is_told_even_without_a_target(self):
        seen_in_part = Finding("hands_off_time", "s", 42.0, doubt="Seen in part.")
        figure = targets.judge(seen_in_part, targets.load(), ADULT)
        assert (figure["verdict"], figure["because"]) == ("uncertain", "Seen in part.")

    @pytest.mark.parametrize(
        ("state", "verdict"),
        [
            ("no_data", "no_data"),
            ("not_applicable", "not_applicable"),
            ("not_seen", "no_data"),
            ("ended", "not_applicable"),
        ],
    )
    def test_a_missing_figure_says_which_kind_of_missing_even_without_a_target(self, state, verdict):
        figure = targets.judge(Finding("hands_off_time", "s", state=state), targets.load(), ADULT)
        assert figure["verdict"] == verdict
        assert figure["because"]

    def test_every_target_is_shown_and_the_first_decides(self):
        """70 %: enough for the guideline, too little for the consensus; the guideline decides."""
        figure = targets.judge(Finding("chest_compression_fraction", "1", 0.7), targets.load(), ADULT)
        assert (figure["verdict"], figure["target"]["kind"]) == ("met", "guideline")
        assert [(other["kind"], other["verdict"]) for other in figure["other_targets"]] == [
            ("consensus", "not_met")
        ]

    def test_a_registry_limit_decides_only_where_nobody_else_speaks(self):
        """No guideline gives an adult's first epinephrine a number."""
        pea = Facts(first_rhythm_shockable=False)
        adult = targets.judge(Finding("time_to_first_epinephrine", "s", 330.0), targets.load(), pea)
        child = targets.judge(
            Finding("time_to_first_epinephrine", "s", 330.0),
            targets.load(),
            Facts("child", first_rhythm_shockable=False),
        )
        assert (adult["verdict"], adult["target"]["kind"]) == ("not_met", "registry")
        assert (child["verdict"], child["target"]["kind"]) == ("not_met", "guideline")

    def test_not_seen_past_the_limit_is_right_censored(self):
        """Null value, and the time observed as the low bound."""
        unseen = Finding("time_to_first_shock", "s", state="not_seen", observed=300.0)
        figure = targets.judge(unseen, targets.load(), ADULT)
        assert (figure["value"], figure["low"], figure["high"]) == (None, 300.0, None)
        assert figure["verdict"] == "not_met"
        assert figure["because"] == "Seen for 5:00; asked is at most 2 min."

    def test_the_range_of_gaps_stands_beside_their_median_without_judging_it(self):
        """One verdict a gap, none on the median; still the range is shown there."""
        median = Finding("epinephrine_interval_median", "s", 400.0)
        figure = targets.judge(median, targets.load(), ADULT)
        assert (figure["verdict"], figure["target"]) == ("no_target", None)
        shown = [(other["rule"], other["judged"], other["verdict"]) for other in figure["other_targets"]]
        assert shown == [("3 min to 5 min", False, "no_target")]

    def test_a_lower_bound_has_no_upper_one(self):
        measured = Finding("time_to_first_shock", "s", 60.0, 55.0, 65.0, open_above=True, assessed=True)
        figure = targets.judge(measured, targets.load(), ADULT)
        assert (figure["low"], figure["high"], figure["verdict"]) == (55.0, None, "uncertain")
        assert figure["certainty"] == "assessed"

    def test_a_newborn_at_birth_is_judged_by_doses_alone(self):
        """And by a later edition whose text is from memory, not at all."""
        newborn = Facts("newborn_at_birth")
        gap, rate = Finding("epinephrine_interval", "s", 400.0), Finding("compression_rate", "/min", 90.0)
        assert targets.judge(gap, targets.load(), newborn)["verdict"] == "not_met"
        assert targets.judge(gap, targets.load("AHA 2025"), newborn)["verdict"] == "no_target"
        assert targets.judge(rate, targets.load(), newborn)["other_targets"] == []


class TestBesideAnother:
    """A second edition speaks beside the first and changes no verdict."""

    measured = Finding("shocks_before_epinephrine", "count", 3.0)

    def test_both_editions_say_what_they_ask(self):
        alone = targets.judge(self.measured, targets.load("AHA 2020"), ADULT)
        both = targets.judge(self.measured, targets.load("AHA 2020"), ADULT, targets.load("ERC 2021"))
        assert (both["verdict"], both["target"]) == (alone["verdict"], alone["target"])
        assert [(one["edition"], one["verdict"]) for one in both["other_targets"]] == [("ERC 2021", "met")]

    def test_what_both_bundles_hold_is_said_once(self):
        """Consensus, studies and registry are the same in either."""
        fraction = Finding("chest_compression_fraction", "1", 0.7)
        both = targets.judge(fraction, targets.load("AHA 2020"), ADULT, targets.load("ERC 2021"))
        ids = [target["id"] for target in (both["target"], *both["other_targets"])]
        assert len(ids) == len(set(ids))
        assert ids == ["aha_2020.compression_fraction_adult", "consensus_2013.compression_fraction"]


def test_bounds_are_told_in_one_form_and_as_finely_as_the_value():
    """No 67.47 %, and no seconds beside minutes."""
    fraction = Finding("f", "1", 0.78, 0.6747, 0.8877, assessed=True)
    _, because = targets.verdict_of(fraction, at_least(0.8, unit="1"), ADULT)
    assert because.startswith("It lies somewhere from about 67 % to 89 %;")
    _, because = targets.verdict_of(finding(60.0, 11.11, 134.0), target(high=90.0), ADULT)
    assert because.startswith("It lies somewhere from about 0:11 to 2:14;")


DAY_S = 86400.0
seconds = st.floats(0, DAY_S)
limits = st.tuples(seconds | st.none(), seconds | st.none(), st.booleans(), st.booleans()).filter(
    lambda drawn: drawn[:2] != (None, None) and (None in drawn[:2] or drawn[0] <= drawn[1])
)


def asked_of(drawn):
    low, high, low_included, high_included = drawn
    return target(low=low, high=high, low_included=low_included, high_included=high_included)


@given(limits, st.lists(seconds, min_size=5, max_size=5).map(sorted))
def test_moving_bounds_outward_never_makes_a_verdict(drawn, times):
    """What was uncertain stays so; and met and not met never change places."""
    far_low, low, value, high, far_high = times
    narrow = targets.verdict_of(finding(value, low, high), asked_of(drawn), ADULT)[0]
    wide = targets.verdict_of(finding(value, far_low, far_high), asked_of(drawn), ADULT)[0]
    assert wide in (narrow, "uncertain")


@given(limits, st.lists(seconds, min_size=3, max_size=3).map(sorted))
def test_a_verdict_is_that_of_every_value_within_the_bounds(drawn, times):
    """Met or not met by the bounds: so by the value, and by either bound, alone."""
    low, value, high = times
    verdict = targets.verdict_of(finding(value, low, high), asked_of(drawn), ADULT)[0]
    alone = {targets.verdict_of(finding(time), asked_of(drawn), ADULT)[0] for time in times}
    assert verdict == "uncertain" or alone == {verdict}


@given(limits, seconds)
def test_an_assumed_zero_is_never_met(drawn, value):
    verdict = targets.verdict_of(finding(value, open_above=True), asked_of(drawn), ADULT)[0]
    assert verdict in ("not_met", "uncertain")
    assert verdict == ("not_met" if asked_of(drawn).above(value) else "uncertain")


@given(limits, seconds)
def test_not_seen_is_not_met_just_where_any_later_time_would_not_be(drawn, observed):
    asked = asked_of(drawn)
    unseen = finding(state="not_seen", observed=observed)
    later = finding(math.nextafter(observed, math.inf), open_above=True)
    if targets.verdict_of(unseen, asked, ADULT)[0] == "not_met":
        assert targets.verdict_of(later, asked, ADULT)[0] == "not_met"

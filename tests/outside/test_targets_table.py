"""The targets of cadence, depth, dose and energy in four editions, typed again with their sources.

A row: id, limits as (from, to) with None for open, unit, whom, basis. ``S``: the text itself was read (where
it is of a neighbouring year, its citation says so). ``2``: a summary was read. ``M``: from memory. With
``shown`` at its end it is put beside a figure and judges nothing.
"""

import pytest

from debrief import targets
from debrief.model.figures import Facts, Finding

ROWS = {row.id: row for name in targets.editions() for row in targets.load(name).targets}
BASIS = {"S": "seen", "2": "second_hand", "M": "memory"}
WHOM = {"A": "adult", "C": "child", "I": "infant", "N": "newborn_at_birth"}

CLAUSES = [
    # AHA 2015, table of dos and do nots for adults: 100 to 120/min, 5 to 6 cm; AHA 2020 keeps both
    ("aha_2020.compression_rate_adult", (100, 120), "/min", "A", "S"),
    ("aha_2020.compression_depth_adult", (50, 60), "mm", "A", "S"),
    # Abstract 180, children's hospitals: "AHA-compliant" is 100 to 120/min
    ("aha_2020.compression_rate_child", (100, 120), "/min", "CI", "2"),
    # AHA 2010, Circulation 122(suppl 3), summary table of basic life support: about 5 cm, infant about 4 cm;
    # compressor about every 2 min, sooner if tired
    ("aha_2020.compression_depth_child", (50, None), "mm", "C", "S", "shown"),
    ("aha_2020.compression_depth_infant", (40, None), "mm", "I", "S", "shown"),
    ("aha_2020.compressor_change_interval", (None, 120), "s", "ACI", "S"),
    # AHA 2020 Part 3, in a summary of its recommendations: 50 % reasonable; pulse at a check <= 10 s;
    # amiodarone 300 mg; no ETCO2 above 10 mmHg by 20 min as one part of stopping
    ("aha_2020.duty_cycle_adult", (0.5, 0.5), "1", "A", "2", "shown"),
    ("aha_2020.rhythm_check_pause_adult", (None, 10), "s", "A", "2"),
    ("aha_2020.amiodarone_adult", (300, 300), "mg", "A", "2"),
    ("aha_2020.stopping_etco2_adult", (10, None), "mmHg", "A", "2", "shown"),
    # AHA adult circular algorithm: every 2 min
    ("aha_2020.rhythm_check_interval_adult", (120, 120), "s", "A", "2"),
    # AHA 2015, basic life support in summary: 1 breath every 6 s
    ("aha_2020.ventilation_rate_adult", (10, 10), "/min", "A", "S"),
    # AHA 2020 Part 4, take-home message 2: 20 to 30/min
    ("aha_2020.ventilation_rate_child", (20, 30), "/min", "CI", "S"),
    # no summary of 2020 gives it; AHA 2025 does
    ("aha_2020.lidocaine_adult", (1, 1.5), "mg/kg", "A", "M"),
    # AHA 2010, table of medications for paediatric resuscitation
    ("aha_2020.amiodarone_child", (5, 5), "mg/kg", "CI", "S"),
    ("aha_2020.lidocaine_child", (1, 1), "mg/kg", "CI", "S"),
    ("aha_2020.epinephrine_dose_child", (0.01, 0.01), "mg/kg", "CI", "S"),
    # a page on paediatric life support; a textbook that follows AHA 2020, p. 35
    ("aha_2020.second_energy_child", (4, 4), "J/kg", "CI", "2"),
    ("aha_2020.later_energy_child", (4, 10), "J/kg", "CI", "2"),
    # two copies of AHA 2020 Part 5 on the web
    ("aha_2020.epinephrine_interval_newborn", (180, 300), "s", "N", "2"),
    ("aha_2020.epinephrine_dose_newborn", (0.01, 0.03), "mg/kg", "N", "2"),
    # AHA 2025 Parts 6 to 9: training sites and a guideline file give 60 %, the file alone 80 % as ideal
    ("aha_2025.compression_fraction", (0.6, None), "1", "AC", "2"),
    ("aha_2025.compression_fraction_goal", (0.8, None), "1", "AC", "2", "shown"),
    # AHA 2025: an adult card citing Parts 7 and 9; a nursing page and a file made from the Highlights
    ("aha_2025.interruption", (None, 10), "s", "AC", "2"),
    ("aha_2025.compression_rate", (100, 120), "/min", "ACI", "2"),
    ("aha_2025.compression_depth_adult", (50, 60), "mm", "A", "2"),
    ("aha_2025.compression_depth_child", (50, None), "mm", "C", "2", "shown"),
    ("aha_2025.compression_depth_infant", (40, None), "mm", "I", "2", "shown"),
    ("aha_2025.rhythm_check_pause_adult", (None, 10), "s", "A", "2"),
    ("aha_2025.rhythm_check_interval_adult", (120, 120), "s", "A", "2"),
    ("aha_2025.compressor_change_interval", (None, 120), "s", "ACI", "2"),
    ("aha_2025.ventilation_rate_adult", (10, 10), "/min", "A", "2"),
    ("aha_2025.ventilation_rate_child", (20, 30), "/min", "CI", "2"),
    ("aha_2025.epinephrine_interval_adult", (180, 300), "s", "A", "2"),
    ("aha_2025.epinephrine_interval_child", (180, 300), "s", "CI", "2"),
    # Highlights 2025 p. 14: as early as possible, < 3 min goes with the best outcomes
    ("aha_2025.first_epinephrine_child", (None, 180), "s", "C", "2", "shown"),
    ("aha_2025.shocks_before_epinephrine_adult", (2, 2), "count", "A", "2"),
    ("aha_2025.amiodarone_adult", (300, 300), "mg", "A", "2"),
    ("aha_2025.lidocaine_adult", (1, 1.5), "mg/kg", "A", "2"),
    # Highlights 2025 change no dose and no energy
    ("aha_2025.amiodarone_child", (5, 5), "mg/kg", "CI", "2"),
    ("aha_2025.lidocaine_child", (1, 1), "mg/kg", "CI", "2"),
    ("aha_2025.epinephrine_dose_child", (0.01, 0.01), "mg/kg", "CI", "2"),
    ("aha_2025.first_energy_child", (2, 2), "J/kg", "CI", "2"),
    ("aha_2025.second_energy_child", (4, 4), "J/kg", "CI", "2"),
    ("aha_2025.later_energy_child", (4, 10), "J/kg", "CI", "2"),
    # only the text of 2020 was read
    ("aha_2025.epinephrine_interval_newborn", (180, 300), "s", "N", "M"),
    ("aha_2025.epinephrine_dose_newborn", (0.01, 0.03), "mg/kg", "N", "M"),
    # ERC 2021 basic life support, excerpts on a nursing page
    ("erc_2021.compression_rate_adult", (100, 120), "/min", "A", "2"),
    ("erc_2021.compression_depth_adult", (50, 60), "mm", "A", "2"),
    ("erc_2021.compression_rate_child", (100, 120), "/min", "CI", "M"),
    # a summary of ERC 2015: child 5 cm, infant 4 cm
    ("erc_2021.compression_depth_child", (50, None), "mm", "C", "2", "shown"),
    ("erc_2021.compression_depth_infant", (40, None), "mm", "I", "2", "shown"),
    # RCUK 2021, in a summary: pause for a rhythm check <= 5 s
    ("erc_2021.rhythm_check_pause_adult", (None, 5), "s", "A", "2"),
    ("erc_2021.rhythm_check_interval_adult", (120, 120), "s", "A", "M"),
    ("erc_2021.ventilation_rate_adult", (10, 10), "/min", "A", "M"),
    # by age, 25, 20, 15, 10: that it goes by age was read, the numbers are from memory
    ("erc_2021.ventilation_rate_child", (10, 20), "/min", "C", "M"),
    ("erc_2021.ventilation_rate_infant", (25, 25), "/min", "I", "M"),
    # a summary of the algorithm of 2021
    ("erc_2021.amiodarone_adult", (300, 300), "mg", "A", "2"),
    ("erc_2021.lidocaine_adult", (100, 100), "mg", "A", "M"),
    ("erc_2021.amiodarone_child", (5, 5), "mg/kg", "CI", "M"),
    # ERC 2010 p. 1249: 10 microgram/kg, at most 1 mg
    ("erc_2021.epinephrine_dose_child", (0.01, 0.01), "mg/kg", "CI", "S"),
    # a summary of ERC 2021 for children: 4 J/kg; from 6 shocks on up to 8 J/kg or 360 J
    ("erc_2021.later_energy_child", (4, 4), "J/kg", "CI", "2"),
    ("erc_2021.energy_child_from_sixth", (4, 8), "J/kg", "CI", "2"),
    # a journal watch on ERC 2021 for newborns: 10 to 30 microgram/kg, every 3 to 5 min
    ("erc_2021.epinephrine_interval_newborn", (180, 300), "s", "N", "2"),
    ("erc_2021.epinephrine_dose_newborn", (0.01, 0.03), "mg/kg", "N", "2"),
    # a journal's summary of ERC 2025: 100 to 120/min, 5 to 6 cm
    ("erc_2025.compression_rate_adult", (100, 120), "/min", "A", "2"),
    ("erc_2025.compression_depth_adult", (50, 60), "mm", "A", "2"),
    ("erc_2025.compression_rate_child", (100, 120), "/min", "CI", "M"),
    # ERC 2025 adult advanced life support: a guideline file, an evidence note, a re-check of a course
    ("erc_2025.pre_shock_pause_adult", (None, 5), "s", "A", "2"),
    ("erc_2025.rhythm_decision_adult", (None, 5), "s", "A", "2", "shown"),
    ("erc_2025.rhythm_check_interval_adult", (120, 120), "s", "A", "2"),
    ("erc_2025.ventilation_rate_adult", (10, 10), "/min", "A", "2"),
    ("erc_2025.epinephrine_interval_adult", (180, 300), "s", "A", "2"),
    ("erc_2025.shocks_before_epinephrine_adult", (3, 3), "count", "A", "2"),
    ("erc_2025.amiodarone_adult", (300, 300), "mg", "A", "2"),
    ("erc_2025.lidocaine_adult", (100, 100), "mg", "A", "2"),
    ("erc_2025.first_energy_adult", (150, None), "J", "A", "2"),
    # a society's page for paramedics on ERC 2025: 25 mmHg, 3.3 kPa
    ("erc_2025.etco2_adult", (25, None), "mmHg", "A", "2", "shown"),
    # RCUK, November 2025, as a file of checks reads it
    ("erc_2025.shocks_before_epinephrine_child", (3, 3), "count", "C", "2"),
    ("erc_2025.amiodarone_child", (5, 5), "mg/kg", "CI", "2"),
    ("erc_2025.epinephrine_dose_child", (0.01, 0.01), "mg/kg", "CI", "2"),
    ("erc_2025.first_energy_child", (4, 4), "J/kg", "CI", "2"),
    ("erc_2025.later_energy_child", (4, 4), "J/kg", "CI", "2"),
    ("erc_2025.energy_child_from_fifth", (4, 8), "J/kg", "CI", "2"),
    # not found for 2025
    ("erc_2025.epinephrine_interval_child", (180, 300), "s", "CI", "M"),
    ("erc_2025.epinephrine_interval_newborn", (180, 300), "s", "N", "M"),
    ("erc_2025.epinephrine_dose_newborn", (0.01, 0.03), "mg/kg", "N", "M"),
    # Meaney 2013, Circulation 128:417: < 12/min in a booklet of abstracts; > 20 mmHg not read there
    ("consensus_2013.ventilation_rate", (None, 12), "/min", "A", "2"),
    ("consensus_2013.etco2", (20, None), "mmHg", "A", "M", "shown"),
    # Abstract 180: under 1 year 3.4 cm. Wolfe 2014 (Crit Care Med 42:1688): leaning <= 10 %
    ("studies.compression_depth_infant", (34, None), "mm", "I", "S"),
    ("studies.leaning_child", (None, 0.10), "1", "C", "S"),
    # the registry's measures for infants: not read
    ("registry.first_compression_infant", (None, 1), "min", "I", "M"),
]

STRICT = {
    "aha_2020.stopping_etco2_adult",  # "above 10"
    "aha_2025.interruption",  # "< 10 s"
    "aha_2025.first_epinephrine_child",  # "< 3 min"
    "erc_2025.pre_shock_pause_adult",  # "< 5 s"
    "consensus_2013.ventilation_rate",  # "< 12"
    "consensus_2013.etco2",  # "> 20"
}
"""Where the limit itself is outside."""

AT_MOST_IN_ALL = {
    # AHA 2010 table; ERC 2010 p. 1249; RCUK 2025: 1 mg, 300 mg
    "epinephrine_dose_child": 1,
    "amiodarone_child": 300,
}
EARLIER = 28
"""Targets that have clauses in words, in test_targets_published.py."""


@pytest.mark.parametrize("clause", CLAUSES, ids=lambda clause: clause[0])
def test_a_target_is_as_published(clause):
    """Limits, unit, whom it speaks of, how well its source was read, and whether it may judge."""
    row_id, limits, unit, whom, basis, *shown = clause
    row = ROWS[row_id]
    assert (row.low, row.high) == limits
    assert row.unit == unit
    assert row.populations == tuple(WHOM[letter] for letter in whom)
    assert row.basis == BASIS[basis]
    assert (row.figures == ()) == bool(shown)
    included = row_id not in STRICT
    assert row.low is None or row.low_included == included
    assert row.high is None or row.high_included == included
    name = row_id.partition(".")[2]
    if name in AT_MOST_IN_ALL:
        assert row.most == AT_MOST_IN_ALL[name]


def test_no_other_target_is_shipped():
    """Every shipped target has its clause, here or in words."""
    assert len({clause[0] for clause in CLAUSES}) == len(CLAUSES)
    assert len(ROWS) == EARLIER + len(CLAUSES)


def test_only_what_names_its_tolerance_as_common_practice_has_one():
    """No guideline read here names a tolerance."""
    for row in ROWS.values():
        assert (row.tolerance > 0) == ("The tolerance is common practice" in row.citation), row.id


def energy(edition, weight_kg, energy_j, shock):
    """Return the verdict on a child's shock."""
    child = Facts("child", weight_kg=weight_kg, first_rhythm_shockable=True, shock=shock)
    finding = Finding("energy_per_kg", "J/kg", energy_j / weight_kg)
    return targets.judge(finding, targets.load(edition), child)["verdict"]


@pytest.mark.parametrize(
    ("edition", "shock", "met_j", "not_met_j"),
    [
        # AHA 2010 to 2025: 2 J/kg, then 4, then 4 to 10; a child of 20 kg
        ("AHA 2020", 1, [40], [80, 20]),
        ("AHA 2020", 2, [80], [40, 160]),
        ("AHA 2020", 3, [80, 200], [40, 220]),
        ("AHA 2025", 1, [40], [80]),
        ("AHA 2025", 2, [80], [40]),
        ("AHA 2025", 7, [80, 150], [60, 220]),
        # ERC 2021: 4 J/kg, from the sixth up to 8; RCUK 2025: from the fifth
        ("ERC 2021", 1, [80], [40, 160]),
        ("ERC 2021", 5, [80], [160]),
        ("ERC 2021", 6, [80, 160], [40, 200]),
        ("ERC 2025", 1, [80], [40]),
        ("ERC 2025", 4, [80], [160]),
        ("ERC 2025", 5, [80, 160], [40, 200]),
    ],
)
def test_a_childs_energies_against_the_published_ladder(edition, shock, met_j, not_met_j):
    """The guidelines disagree on the first shock, on the top, and on when it may rise."""
    for energy_j in met_j:
        assert energy(edition, 20.0, energy_j, shock) == "met", energy_j
    for energy_j in not_met_j:
        assert energy(edition, 20.0, energy_j, shock) == "not_met", energy_j


def test_a_heavy_child_is_not_asked_for_more_than_the_adult_dose():
    """4 J/kg of 70 kg would be 280 J: at most the adult dose (200 J here), 360 J in Europe."""
    assert energy("AHA 2020", 70.0, 200.0, 2) == "met"
    assert energy("AHA 2020", 70.0, 280.0, 2) == "not_met"
    assert energy("ERC 2021", 95.0, 360.0, 1) == "met"


@pytest.mark.parametrize(
    ("weight_kg", "dose_mg", "verdict"),
    [
        # 0.01 mg/kg, at most 1 mg (AHA 2010 table of medications; ERC 2010 p. 1249)
        (10.0, 0.1, "met"),
        (10.0, 0.11, "met"),
        (10.0, 0.15, "not_met"),
        (10.0, 0.05, "not_met"),
        (20.0, 0.2, "met"),
        (100.0, 1.0, "met"),
        (120.0, 1.0, "met"),
        (120.0, 1.5, "not_met"),
    ],
)
@pytest.mark.parametrize("edition", targets.editions())
def test_a_childs_epinephrine_by_weight(edition, weight_kg, dose_mg, verdict):
    """A tenfold slip and half a dose lie outside; a dose rounded to what a syringe shows does not."""
    child = Facts("child", weight_kg=weight_kg)
    measured = Finding("dose_per_kg", "mg/kg", dose_mg / weight_kg)
    assert targets.judge(measured, targets.load(edition), child)["verdict"] == verdict


@pytest.mark.parametrize(
    ("edition", "dose_mg_per_kg", "verdict"),
    [
        ("AHA 2020", 0.02, "met"),
        ("AHA 2020", 0.1, "not_met"),
        ("ERC 2021", 0.03, "met"),
        ("AHA 2025", 0.1, "no_target"),
        ("ERC 2025", 0.1, "no_target"),
    ],
)
def test_a_newborns_epinephrine_at_birth(edition, dose_mg_per_kg, verdict):
    """0.01 to 0.03 mg/kg; what is from memory does not judge."""
    newborn = Facts("newborn_at_birth", weight_kg=3.0)
    measured = Finding("dose_per_kg", "mg/kg", dose_mg_per_kg)
    assert targets.judge(measured, targets.load(edition), newborn)["verdict"] == verdict


@pytest.mark.parametrize(
    ("edition", "drug", "dose_mg", "verdict"),
    [
        ("AHA 2025", "amiodarone", 300.0, "met"),
        ("AHA 2025", "amiodarone", 150.0, "not_met"),
        ("AHA 2025", "lidocaine", 100.0, "met"),  # 1.25 mg/kg of 80 kg
        ("AHA 2025", "lidocaine", 150.0, "not_met"),
        ("ERC 2025", "lidocaine", 100.0, "met"),
        ("ERC 2025", "lidocaine", 120.0, "not_met"),
    ],
)
def test_an_adults_first_antiarrhythmic(edition, drug, dose_mg, verdict):
    """Amiodarone 300 mg; lidocaine by weight in one guideline, 100 mg in the other."""
    adult = Facts(weight_kg=80.0, amiodarone_first=drug == "amiodarone", lidocaine_first=drug == "lidocaine")
    figure = targets.judge(Finding("antiarrhythmic_dose", "mg", dose_mg), targets.load(edition), adult)
    assert figure["verdict"] == verdict


def test_the_stopping_rule_and_the_goals_of_etco2_judge_nothing():
    """AHA's 10 mmHg belongs to a decision to stop; ERC's 25 is for the course of the readings."""
    intubated = Facts(advanced_airway=True)
    for edition in targets.editions():
        for name in ("etco2_lowest", "etco2_at_20_min"):
            figure = targets.judge(Finding(name, "mmHg", 5.0), targets.load(edition), intubated)
            assert (figure["verdict"], figure["target"]) == ("no_target", None)
            assert all(not other["judged"] for other in figure["other_targets"])

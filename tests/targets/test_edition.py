"""The shipped targets as data: whole, in units that figures have, for people whom we measure."""

import pytest

from debrief import targets, words
from debrief.errors import BadSetting
from debrief.measures import MEASURES
from debrief.model.figures import Facts
from debrief.targets.row import CONDITIONS, KINDS, read_row

ROWS = {row.id: row for name in targets.editions() for row in targets.load(name).targets}
UNITS = {measure.name: measure.unit for measure in MEASURES} | dict.fromkeys(
    ("pre_shock_pause", "post_shock_pause", "peri_shock_pause", "epinephrine_interval"), "s"
)


@pytest.mark.parametrize("row", ROWS.values(), ids=ROWS)
def test_every_target_has_its_source_and_its_limit(row):
    """Citation with a year, basis, a limit; and the rule in words names each limit."""
    assert any(part.strip(".,;:()").isdigit() for part in row.citation.replace(";", " ").split()) or (
        "Get With The Guidelines" in row.citation
    )
    assert row.basis in ("seen", "second_hand", "memory")
    assert row.low is not None or row.high is not None
    assert row.rule


@pytest.mark.parametrize("row", ROWS.values(), ids=ROWS)
def test_nothing_asks_for_compressions_of_a_newborn_at_birth(row):
    """Times and doses only: the three to one pattern has no fraction, rate or pause to reach."""
    hands = {measure.name for measure in MEASURES if measure.hands}
    if "newborn_at_birth" in row.populations:
        assert not hands & {*row.figures, *row.shown_beside}


@pytest.mark.parametrize("row", ROWS.values(), ids=ROWS)
def test_every_target_speaks_of_figures_that_are_measured_in_its_unit(row):
    """A name that no measure has, or another unit, would never be judged; by weight it may be."""
    assert set(row.shown_beside) <= set(UNITS)
    for figure in row.figures:
        assert row.unit in (UNITS[figure], f"{UNITS[figure]}/kg")


@pytest.mark.parametrize("row", ROWS.values(), ids=ROWS)
def test_registry_figures_are_judged_in_whole_minutes_and_by_the_registry_alone(row):
    """A figure named registry_... is in minutes or yes and no, and only a registry speaks of it."""
    if any(figure.startswith("registry_") for figure in row.figures):
        assert row.kind == "registry"
        assert row.unit in ("min", "")


def test_targets_from_memory_are_not_judged():
    """The flag follows the basis until a site confirms it."""
    assert {row.id for row in ROWS.values() if not row.judged} == {
        row.id for row in ROWS.values() if row.basis == "memory"
    }
    assert not ROWS["erc_2021.first_epinephrine_child"].judged


@pytest.mark.parametrize(
    ("row_id", "rule"),
    [
        ("aha_2020.compression_fraction_adult", "at least 60 %"),
        ("consensus_2013.compression_fraction", "more than 80 %"),
        ("aha_2020.interruption", "less than 10 s"),
        ("aha_2020.epinephrine_interval_adult", "3 min to 5 min"),
        ("studies.first_shock", "at most 2 min"),
        ("registry.first_compression", "at most 1 min"),
        ("erc_2021.shocks_before_epinephrine_adult", "exactly 3"),
        ("aha_2020.first_energy_child", "2 J/kg, give or take 0.5 J/kg"),
        ("registry.airway_confirmed", "yes"),
        ("aha_2020.compression_rate_adult", "100 per min to 120 per min"),
        ("aha_2020.epinephrine_dose_child", "0.01 mg/kg, give or take 0.002 mg/kg, at most 1 mg in all"),
        ("aha_2020.compressor_change_interval", "at most 2 min, give or take 30 s"),
    ],
)
def test_a_rule_is_its_limits_in_words(row_id, rule):
    """At least and more than differ, and seconds are said as minutes where they are whole ones."""
    assert ROWS[row_id].rule == rule


@pytest.mark.parametrize(
    ("row_id", "whom"),
    [
        ("aha_2020.compression_rate_adult", "adult"),
        ("studies.first_shock", "adult; first rhythm shockable; no implanted device shocked first"),
        ("aha_2020.second_energy_child", "child, infant; shock 2"),
        ("erc_2021.later_energy_child", "child, infant; shocks 2 to 5"),
        ("erc_2021.energy_child_from_sixth", "child, infant; from shock 6 on"),
        ("erc_2021.epinephrine_dose_newborn", "newborn at birth"),
    ],
)
def test_whom_a_target_speaks_of_is_said(row_id, whom):
    assert ROWS[row_id].whom == whom


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"figures": []}, "figures"),
        ({"figures": "x"}, "figures"),
        ({"most": 5}, "most"),
        ({"most": -1, "unit": "mg/kg"}, "most"),
        ({"shocks": [3, 2]}, "shocks"),
        ({"shocks": [0, 2]}, "shocks"),
        ({"shocks": 2}, "shocks"),
    ],
)
def test_a_key_that_says_what_cannot_be_is_refused_by_its_place(change, place):
    body = {
        "figures": ["x"],
        "at_most": 5,
        "unit": "s",
        "populations": ["adult"],
        "citation": "Invented 2026.",
        "basis": "seen",
    }
    with pytest.raises(BadSetting, match=rf"f: x\.{place}: read .*Write"):
        read_row("x", body | change, file="f", key="x", edition="x", kind="study")


def test_a_limit_on_either_side_says_both():
    """Limits of which one is not included are joined."""
    body = {
        "figures": ["x"],
        "more_than": 75,
        "at_most": 284,
        "unit": "s",
        "populations": ["adult"],
        "citation": "Invented 2026.",
        "basis": "seen",
    }
    row = read_row("x", body, file="f", key="x", edition="x", kind="study")
    assert row.rule == "more than 1:15 and at most 4:44"


@pytest.mark.parametrize("condition", CONDITIONS)
def test_every_condition_has_its_words(condition):
    """When it applies, why it does not, and that it is not known."""
    for form in (condition, f"not {condition}"):
        key = form.replace(" ", "_")
        assert words.say(f"targets.when_{key}")
        assert words.say(f"targets.fails_{key}").endswith("does not apply.")
    assert "nobody can say" in words.say(f"targets.unknown_{condition}")


def test_the_default_edition_comes_first():
    assert targets.editions()[0] == "AHA 2020" == targets.load().name


def test_an_unknown_edition_names_the_choices():
    with pytest.raises(BadSetting, match=r"no edition 'AHA 1820'.*AHA 2020, AHA 2025, ERC 2021, ERC 2025"):
        targets.load("AHA 1820")


def test_the_editions_ask_different_things():
    """Each guideline's own rows are in its own bundle alone."""
    for edition in targets.editions():
        own = edition.lower().replace(" ", "_")
        guidelines = {row.id.partition(".")[0] for row in targets.load(edition).targets} & {
            name.lower().replace(" ", "_") for name in targets.editions()
        }
        assert guidelines == {own}


@pytest.mark.parametrize("edition", targets.editions())
def test_a_guidelines_word_begins_with_its_edition(edition):
    """So that a page can tell what the second of two editions asks."""
    for row in targets.load(edition).targets:
        assert row.edition.startswith(edition) == (row.kind == "guideline")


@pytest.mark.parametrize("population", words.POPULATIONS)
def test_targets_speak_in_the_order_in_which_they_decide(population):
    """Guideline, consensus, study, registry; and only of the population asked for."""
    rows = targets.load().speaking("chest_compression_fraction", Facts(population=population))
    ranks = [KINDS.index(row.kind) for row in rows]
    assert ranks == sorted(ranks)
    assert all(population in row.populations for row in rows)
    assert bool(rows) == (population != "newborn_at_birth")

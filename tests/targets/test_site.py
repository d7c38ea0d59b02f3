"""A site's own file: it overrides, confirms, chooses, and says exactly what is wrong with it."""

import pytest

from debrief import targets
from debrief.errors import BadSetting
from debrief.model.figures import Facts, Finding

WHO = 'role = "resuscitation officer"\ndate = 2026-01-31\n'


@pytest.fixture
def site(tmp_path):
    """Write a site's file, and give its path."""

    def write(text):
        path = tmp_path / "ours.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_a_site_limit_replaces_what_it_names_and_keeps_the_rest(site):
    """Only the limit is written; figure, unit and population come from the target it overrides."""
    path = site(WHO + '[limit."aha_2020.compression_fraction_adult"]\nmore_than = 0.7\n')
    first, *rest = targets.load("AHA 2020", path).speaking("chest_compression_fraction", Facts())

    assert (first.kind, first.low, first.low_included, first.unit) == ("site", 0.7, False, "1")
    assert first.populations == ("adult",)
    assert first.citation == "Set by resuscitation officer, 2026-01-31 (ours.toml)."
    assert [row.id for row in rest] == [
        "aha_2020.compression_fraction_adult",
        "consensus_2013.compression_fraction",
    ]


def test_a_site_limit_decides_the_verdict(site):
    """65 % is enough for the guideline and too little for this site."""
    path = site(WHO + '[limit."aha_2020.compression_fraction_adult"]\nat_least = 0.7\n')
    finding = Finding("chest_compression_fraction", "1", 0.65)

    assert targets.judge(finding, targets.load(), Facts())["verdict"] == "met"
    figure = targets.judge(finding, targets.load(None, path), Facts())
    assert figure["verdict"] == "not_met"
    assert figure["target"]["kind"] == "site"
    assert figure["other_targets"][0]["verdict"] == "met"


def test_a_site_sets_a_tolerance_alone(site):
    """Without a limit of its own the shipped limit stays, with the site's tolerance."""
    path = site(WHO + '[limit."aha_2020.first_energy_child"]\ntolerance = 0.2\n')
    row = targets.load("AHA 2020", path).speaking("first_shock_energy", Facts(population="child"))[0]
    assert (row.low, row.high, row.tolerance) == (2, 2, 0.2)


def test_a_site_keeps_the_most_in_all_and_the_shocks_of_what_it_overrides(site):
    """Only the tolerance is written; the cap of 1 mg, and which shock is meant, stay."""
    path = site(
        WHO
        + '[limit."aha_2020.epinephrine_dose_child"]\ntolerance = 0.001\n'
        + '[limit."aha_2020.second_energy_child"]\ntolerance = 1.0\n'
    )
    edition = targets.load("AHA 2020", path)
    dose = edition.speaking("dose_per_kg", Facts(population="child"))[0]
    assert (dose.kind, dose.tolerance, dose.most) == ("site", 0.001, 1)
    second = edition.speaking("energy_per_kg", Facts(population="child", shock=2))[0]
    assert (second.kind, second.tolerance, second.shocks) == ("site", 1.0, (2, 2))
    assert all(row.kind != "site" for row in edition.speaking("energy_per_kg", Facts(population="child")))


def test_a_site_that_wants_to_judge_by_what_is_only_shown_names_the_figure(site):
    """A rule on stopping judges nothing until the site says what it should judge."""
    rule = '[limit."aha_2020.stopping_etco2_adult"]\nmore_than = 15\n'
    with pytest.raises(BadSetting, match="figures"):
        targets.load("AHA 2020", site(WHO + rule))
    edition = targets.load("AHA 2020", site(WHO + rule + 'figures = ["etco2_at_20_min"]\n'))
    finding = Finding("etco2_at_20_min", "mmHg", 12.0)
    figure = targets.judge(finding, edition, Facts(advanced_airway=True))
    assert (figure["verdict"], figure["target"]["kind"]) == ("not_met", "site")


def test_a_new_limit_of_one_side_drops_the_other_and_the_grey_zone(site):
    """A site that asks 200 J at least asks nothing else of the energy."""
    path = site(WHO + '[limit."erc_2021.first_energy_adult"]\nat_least = 200\n')
    row = targets.load("ERC 2021", path).speaking("first_shock_energy", Facts())[0]
    assert (row.low, row.high, row.grey_low) == (200, None, None)


def test_a_site_may_ask_what_nobody_else_does(site):
    """A limit of its own needs figure, unit and population."""
    path = site(
        WHO + "[limit.post_shock]\n"
        'figures = ["post_shock_pause"]\nless_than = 5\nunit = "s"\npopulations = ["adult"]\n'
        'citation = "Ward policy 12 of 2026."\n'
    )
    figure = targets.judge(Finding("post_shock_pause", "s", 5.0), targets.load(None, path), Facts())
    assert (figure["verdict"], figure["target"]["citation"]) == ("not_met", "Ward policy 12 of 2026.")


def test_a_target_from_memory_is_judged_once_a_site_confirms_it(site):
    """Shown without a verdict before, with one after, and by which role and when."""
    child = Facts(population="child", first_rhythm_shockable=False)
    finding = Finding("time_to_first_epinephrine", "s", 200.0)
    before = targets.judge(finding, targets.load("ERC 2021"), child)
    path = site(WHO + 'confirm = ["erc_2021.first_epinephrine_child"]\n')
    after = targets.judge(finding, targets.load("ERC 2021", path), child)

    memory = next(row for row in before["other_targets"] if row["basis"] == "memory")
    assert (memory["judged"], memory["verdict"]) == (False, "no_target")
    assert (before["target"]["kind"], before["verdict"]) == ("registry", "met")
    assert (after["target"]["judged"], after["verdict"]) == (True, "not_met")
    assert after["target"]["citation"].endswith("Confirmed by resuscitation officer, 2026-01-31.")


def test_a_site_sets_the_edition_and_the_asker_may_still_choose_another(site):
    path = site('edition = "ERC 2021"\n')
    assert targets.load(None, path).name == "ERC 2021"
    assert targets.load("AHA 2020", path).name == "AHA 2020"


NEW = 'at_most = 9\nunit = "s"\npopulations = ["adult"]\n'
LIMIT = '[limit."aha_2020.interruption"]\n'


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("at_least = ", r"ours\.toml: this is not TOML"),
        ('editon = "AHA 2020"', r"ours\.toml: editon: read 'AHA 2020'\. Write one of: edition, role"),
        ('edition = "ARC"', r"ours\.toml: There is no edition 'ARC'"),
        ("edition = 2020", r"edition: read 2020"),
        ("confirm = 3", r"confirm: read 3\. Write a list of ids"),
        ('confirm = ["aha.nothing"]', r"confirm: read 'aha\.nothing'"),
        ('confirm = ["erc_2021.first_epinephrine_child"]', r"role: read nothing\. Write by which role"),
        ('role = "officer"\n' + LIMIT, r"date: read nothing\. Write the day"),
        ('role = "officer"\ndate = "soon"\n' + LIMIT, r"date: read 'soon'"),
        (WHO + "limit = 3", r"limit: read 3\. Write a table"),
        (WHO + "[limit]\nx = 3", r'limit\."x": read 3\. Write a table'),
        (WHO + "[limit.nothing_shipped]\nat_most = 3", r"read 'nothing_shipped'\. Write the id of a shipped"),
        (WHO + LIMIT + "at_mots = 9", r"at_mots: read 9\. Write one of: figures"),
        (WHO + LIMIT + 'at_most = "9 s"', r"at_most: read '9 s'\. Write a number"),
        (WHO + LIMIT + "at_most = nan", r"at_most: read nan\. Write a number"),
        (WHO + LIMIT + "at_most = true", r"at_most: read True\. Write a number"),
        (
            WHO + LIMIT + "at_most = 9\nless_than = 9",
            r"less_than: read 9\. Write at_most or less_than, not both",
        ),
        (WHO + LIMIT + "at_least = 9\nat_most = 8", r"the lower one not over the upper one"),
        (WHO + LIMIT + "tolerance = -1", r"tolerance: read -1\.0\. Write a number"),
        (WHO + LIMIT + 'unit = "min"', r"unit: read 'min'\. The figure longest_pause is in 's'"),
        (
            WHO + '[limit.x]\nfigures = ["longest_paus"]\n' + NEW,
            r"read 'longest_paus'\. Choose from: longest_pause",
        ),
        (WHO + LIMIT + 'populations = ["elderly"]', r"read 'elderly'\. Choose from: adult, child, infant"),
        (WHO + LIMIT + 'when = ["full moon"]', r"read 'full moon'\. Choose from: first_rhythm_shockable"),
    ],
)
def test_what_is_wrong_is_named_with_its_remedy(site, text, complaint):
    """File, key, what was read, what to write."""
    with pytest.raises(BadSetting, match=complaint) as caught:
        targets.load(None, site(text))
    assert "ours.toml" in str(caught.value)


def test_a_unit_that_is_not_the_figures_is_named_where_it_is_judged(site):
    """Nobody but the measure knows the unit of a figure that no shipped target speaks of."""
    path = site(WHO + '[limit.x]\nfigures = ["post_shock_pause"]\n' + NEW.replace('"s"', '"min"'))
    with pytest.raises(BadSetting, match=r"site\.x is in 'min', and the figure post_shock_pause in 's'"):
        targets.judge(Finding("post_shock_pause", "s", 5.0), targets.load(None, path), Facts())


def test_a_missing_site_file_is_named(tmp_path):
    with pytest.raises(BadSetting, match=r"none\.toml: there is no such file"):
        targets.load(None, tmp_path / "none.toml")


def test_a_site_says_what_stands_on_what_is_handed_on(site):
    path = site('confidentiality = " Committee use only. "\n')

    assert targets.load(None, path).confidentiality == "Committee use only."
    assert targets.load().confidentiality == ""


def test_a_line_of_confidentiality_that_is_no_text_is_refused(site):
    with pytest.raises(BadSetting, match=r"confidentiality.*Write one line in quotes"):
        targets.load(None, site("confidentiality = true\n"))


def test_a_site_says_after_how_many_days_a_clock_check_is_stale(site):
    assert targets.load(None, site("clock_check_days = 14\n")).clock_check_days == 14
    assert targets.load().clock_check_days is None


@pytest.mark.parametrize("days", ["0", "nan", "true", '"14"'])
def test_days_after_which_a_check_is_stale_are_at_least_one(site, days):
    with pytest.raises(BadSetting, match=r"clock_check_days: read .* Write a number of days"):
        targets.load(None, site(f"clock_check_days = {days}\n"))


def test_a_site_can_say_below_how_many_events_nothing_is_shown(site):
    assert targets.load(None, site("fewest_shown = 5\n")).fewest_shown == 5
    assert targets.load().fewest_shown is None


@pytest.mark.parametrize("fewest", ["1", "true", "5.5", '"5"'])
def test_fewest_that_cannot_be_is_refused_with_what_to_write(site, fewest):
    with pytest.raises(BadSetting, match=r"fewest_shown: read .* Write a whole number of events"):
        targets.load(None, site(f"fewest_shown = {fewest}\n"))

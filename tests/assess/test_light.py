"""What measuring a file imports: nothing that takes longer to import than to measure an event."""

import subprocess
import sys

import pytest

from debrief.resources import shipped

HEAVY = ("pandas", "plotly", "dash", "scipy", "duckdb", "polars")


@pytest.mark.parametrize("name", ["vf_log_and_sheet", "pea_child_airway"])
def test_a_file_is_measured_without_heavy_imports(name):
    """Arrow imports pandas by itself where it is handed Python lists, so this has to be held."""
    code = (
        "import sys; from pathlib import Path; from debrief.assess import assess; "
        "assess([Path(sys.argv[1])]).to_dict(); "
        f"print([name for name in {HEAVY!r} if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(shipped("sample_events") / name)],
        capture_output=True,
        text=True,
        check=True,
    )

    assert done.stdout.strip() == "[]"

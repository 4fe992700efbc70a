"""The CSV says what the JSON says."""

import csv
import io
import subprocess
import sys

from putt_posture.documents import lesson_as_csv, lesson_as_json
from putt_posture.measures import MEASURES

NUMBERS = ("value", "standard_uncertainty", "low", "high")


def test_the_csv_equals_the_json(lesson):
    # Read back by the standard library, not by the one that wrote it.
    rows = list(csv.DictReader(io.StringIO(lesson_as_csv(lesson))))
    measures = lesson_as_json(lesson)["measures"]
    assert [row["measure"] for row in rows] == list(MEASURES)
    for row in rows:
        entry = measures[row["measure"]]
        for name in NUMBERS:
            assert (float(row[name]) if row[name] else None) == entry[name]
        assert int(row["frames"]) == entry["frames"]
        for name in ("unit", "view", "method", "absent"):
            assert row[name] == (entry[name] or "")


def test_a_lesson_is_stored_without_loading_pandas():
    # It takes a fifth of a second to import, and a lesson's own table needs none of it.
    script = "import sys; from putt_posture.pages import store_lesson; sys.exit('pandas' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0

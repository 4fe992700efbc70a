"""The pages of a filed lesson that was filed without them are made once, and only as far as consent goes."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))

from filed import TODAY, add_player, file_one

from putt_posture.archive import withdraw_consent
from putt_posture.records import read_result_folder
from putt_posture.server.routes import kept
from putt_posture.services import file_again, prepare_again
from putt_posture.values import WantedSetup


def test_pages_are_made_when_they_are_asked_for(state, coach, golfer_folder, monkeypatch) -> None:
    state.today = lambda: TODAY
    with state.open_archive(make=True) as archive:
        first = file_one(archive, add_player(archive), read_result_folder(golfer_folder))
        wanted = WantedSetup(knee_flex_deg=20.0)
        job = prepare_again(archive, first, today=TODAY, wanted=wanted, pages="when asked")
        bare = file_again(archive, job, job.run().files, today=TODAY).filed
    answer = coach.get(f"/filed/{bare}")
    assert "data:image/jpeg" in answer.text
    assert f"/filed/{bare}/files/report.pdf" in answer.text
    monkeypatch.setattr(kept, "make_pages", lambda *_given, **_about: 1 / 0)  # they are not made twice
    assert coach.get(f"/filed/{bare}/files/report.pdf").content.startswith(b"%PDF")
    with state.open_archive() as archive:
        withdraw_consent(archive, 1, scopes=("pictures",), on=TODAY)
    assert coach.get(f"/filed/{bare}/files/report.pdf").status_code == 400
    assert "data:image/jpeg" not in coach.get(f"/filed/{bare}").text

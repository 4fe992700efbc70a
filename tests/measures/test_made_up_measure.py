"""A measure that is made up here, in this file alone, is measured, written, printed, drawn, compared and described."""

import csv
import io
import json
from datetime import date

import pytest
from attrs import evolve
from compared import make_after
from invented import MADE_ON, make_lesson
from stick_golfer import Camera, Golfer, result_of, student_of

from putt_posture.archive.db.tables import MeasureRow
from putt_posture.archive.db.value_checks import find_impossible
from putt_posture.changes import find_changes
from putt_posture.comparison import compare
from putt_posture.documents import read_record
from putt_posture.documents.history_json import check_history, history_as_json
from putt_posture.documents.lesson_json import validate
from putt_posture.drawing.history_chart import draw_history_charts
from putt_posture.drawing.stills import draw_stills
from putt_posture.errors import UsageError
from putt_posture.history import find_courses
from putt_posture.measures import MEASURES, measure_posture
from putt_posture.measures.page import make_page
from putt_posture.measures.record import DOWN_THE_LINE, Measure, Shift, Words, read_plane
from putt_posture.measures.sketch import Bracket, Dot, Mark, Plumb, Sketch
from putt_posture.pages import store_lesson
from putt_posture.records import read_result_folder
from putt_posture.values import Estimate, History, Measured, Visit

HIP_HEIGHT_CM = 98.0


def hip_height(plane):
    """Return the height of the middle of the hip joints above the ground, (T,) cm."""
    return plane.middle("hip")[:, 1]


def mark_hips(seen, view):
    """Mark the middle of the hips on the still, and the ground below them."""
    result = seen.results[view]
    u, v = result.joints.middle("hip")[result.still_index]
    return {"hip_height": ((float(u), float(v)), (float(u), float(result.scene.ground_v_px.value)))}


HIP, GROUND = Mark("hip_height", 0), Mark("hip_height", 1)
HIP_HEIGHT = Measure(
    name="hip_height",
    order=35,
    part="legs",
    unit="cm",
    views=DOWN_THE_LINE,
    axes="z",
    title="Hip height",
    definition="Height of the middle of the hip joints.",
    words=Words(
        what="How high the hips are above the ground.",
        direction="More is higher.",
        stroke="Lower hips tend to lower the hands.",
    ),
    shift=Shift(
        more="The hips are higher: they tend to lift the hands.",
        less="The hips are lower: they tend to lower the hands.",
    ),
    reading=read_plane(hip_height, view="down_the_line", method="hip landmarks", unseen="The hips are hidden."),
    model_sd=0.4,
    scatter_sd=1.0,
    marks=mark_hips,
    sketches={
        "down_the_line": Sketch(
            rank=0,
            strokes=(Bracket(Plumb(HIP, level_with=GROUND), HIP), Dot(HIP)),
            anchor=HIP,
            wanted=(-1.0, 0.0),
        )
    },
    since="99.0",
)


@pytest.fixture(scope="module", autouse=True)
def known():
    with MEASURES.trying(HIP_HEIGHT):
        yield
    assert "hip_height" not in MEASURES


def with_height(lesson, value):
    height = Estimate(
        value=value, standard_uncertainty=0.5, unit="cm", view="down_the_line", frames=3, method="hip landmarks"
    )
    marks = {view: dict(each) for view, each in lesson.posture.marks.items()}
    marks["down_the_line"]["hip_height"] = ((500.0, 700.0), (500.0, 1300.0))
    estimates = {**lesson.posture.estimates, "hip_height": height}
    return evolve(lesson, posture=evolve(lesson.posture, estimates=estimates, marks=marks))


@pytest.fixture(scope="module")
def folders(tmp_path_factory):
    place = tmp_path_factory.mktemp("hips")
    versions = {"putt_posture": "99.0"}
    before, after = (
        evolve(with_height(each, value), versions=versions)
        for each, value in ((make_lesson(), HIP_HEIGHT_CM), (make_after(), HIP_HEIGHT_CM - 9.0))
    )
    return (
        store_lesson(before, place / "before", made_on=MADE_ON),
        store_lesson(after, place / "after", made_on=date(2026, 7, 3)),
    )


def text_of(place):
    return " ".join(place.read_text(encoding="utf-8").split())


def test_it_is_measured_with_its_uncertainty_at_its_place_among_the_others() -> None:
    golfer = Golfer()
    posture = measure_posture({"down_the_line": result_of(golfer, Camera(view="down_the_line"))}, student_of(golfer))
    found = posture["hip_height"]
    assert found.value == pytest.approx(float(golfer.joints()["left_hip"][2]), abs=0.6)
    assert (found.unit, found.view, found.budget["measure itself"]) == ("cm", "down_the_line", 0.4)
    assert list(posture.estimates)[2:5] == ["head_drop", "hip_height", "knee_flex"]
    assert len(posture.marks["down_the_line"]["hip_height"]) == 2


def test_it_is_absent_with_a_reason_where_its_view_is_missing() -> None:
    golfer = Golfer()
    posture = measure_posture({"face_on": result_of(golfer, Camera(view="face_on"))}, student_of(golfer))
    assert posture["hip_height"].absent == "No down-the-line clip was given, and only that view shows it."


def test_it_is_in_the_document_which_keeps_its_schema_and_is_read_back(folders) -> None:
    document = json.loads((folders[0] / "measures.json").read_text(encoding="utf-8"))
    validate(document)
    assert document["measures"]["hip_height"]["value"] == HIP_HEIGHT_CM
    assert read_result_folder(folders[0]).record.measures["hip_height"].value == HIP_HEIGHT_CM
    document["measures"]["hip_height"]["unit"] = "deg"
    with pytest.raises(UsageError, match="measures/hip_height"):
        validate(document)


def test_it_is_a_row_of_the_table(folders) -> None:
    rows = list(csv.DictReader(io.StringIO((folders[0] / "measures.csv").read_text(encoding="utf-8"))))
    (row,) = [row for row in rows if row["measure"] == "hip_height"]
    assert (row["title"], float(row["value"]), row["unit"]) == ("Hip height", HIP_HEIGHT_CM, "cm")


def test_it_is_in_the_report_with_its_words_and_on_the_still_with_its_sketch(folders) -> None:
    report = text_of(folders[0] / "report.html")
    for words in ("Hip height", "98.0 ± 1.0", HIP_HEIGHT.words.what, HIP_HEIGHT.words.direction):
        assert words in report
    assert HIP_HEIGHT.words.stroke in report
    still = draw_stills(with_height(make_lesson(), HIP_HEIGHT_CM))[0]
    assert "hip height 98.0 ± 1.0\xa0cm" in still.says
    bare = draw_stills(make_lesson())[0]
    assert (still.annotated != bare.annotated).any(axis=2).mean() > 0.01


def test_it_is_compared_with_what_a_change_of_it_is_worth(folders, tmp_path) -> None:
    place = tmp_path / "comparison"
    compare(*folders, place)
    change = json.loads((place / "comparison.json").read_text(encoding="utf-8"))["measures"]["hip_height"]
    assert (change["change"]["value"], change["verdict"]) == (pytest.approx(-9.0), "change")
    page = text_of(place / "comparison.html")
    assert HIP_HEIGHT.shift.less in page
    assert HIP_HEIGHT.shift.more not in page
    assert "hip_height,Hip height" in (place / "comparison.csv").read_text(encoding="utf-8")


def test_its_history_is_followed_and_drawn(folders) -> None:
    kept = [read_result_folder(folder).record for folder in folders]
    visits = tuple(
        Visit(
            lesson=number,
            day=date(2026, 6, number),
            moment=moment,
            measured=Measured(measures=each.measures, scale_sources={}, landmark_models={}, student=each.student),
            suggested=each.putter_length,
            putter_in_use_cm=None,
        )
        for number, (moment, each) in enumerate(zip(("before", "after"), kept, strict=True), start=1)
    )
    history = History(name="", visits=visits)
    courses = find_courses(history, find_changes=find_changes)
    assert courses["hip_height"].since_first.change.value == pytest.approx(-9.0)
    document = history_as_json(history, courses)
    check_history(document)
    assert document["visits"][0]["measures"]["hip_height"]["value"] == HIP_HEIGHT_CM
    assert any("hip_height" in chart.names for chart in draw_history_charts(history, courses))


def test_its_rows_in_the_archive_can_be(folders) -> None:
    row = {column.name: None for column in MeasureRow.__table__.columns}
    row |= {"name": "hip_height", "unit": "deg"}
    assert "unit is another's" in " ".join(map(str, find_impossible(MeasureRow.__table__, row)))


def test_it_is_on_the_page_of_definitions() -> None:
    assert "| **Hip height** `hip_height` | down the line | z | cm | Height of the middle of the hip joints. |" in (
        make_page()
    )


def test_a_lesson_of_an_older_version_is_read_and_lacks_it_with_a_reason(folders) -> None:
    document = json.loads((folders[0] / "measures.json").read_text(encoding="utf-8"))
    del document["measures"]["hip_height"]
    with pytest.raises(UsageError, match="hip_height"):
        read_record(json.dumps(document), where="measures.json")
    document["versions"]["putt_posture"] = "0.1.0"
    found = read_record(json.dumps(document), where="measures.json").measures["hip_height"]
    assert found.absent == "Version 0.1.0 of the program, which measured this lesson, did not know it yet."

"""The day of a lesson, from what its clips say."""

from datetime import UTC, date, timedelta, timezone

import av
import pytest
from PIL import Image
from written_clips import numbered_picture, write_clip

from putt_posture.clips.days import find_lesson_day, read_day_filmed

TODAY = date(2026, 11, 27)
NEW_YORK = timezone(-timedelta(hours=4))


@pytest.fixture
def clip(tmp_path):
    """Write a short clip with notes of its own."""

    def write(name="side.mov", **notes):
        plain = write_clip(tmp_path / f"plain_{name}", [numbered_picture(each) for each in range(4)])
        with (
            av.open(str(plain)) as source,
            av.open(str(tmp_path / name), "w", options={"movflags": "use_metadata_tags"}) as target,
        ):
            target.metadata.update(notes)
            copied = target.add_stream_from_template(source.streams.video[0])
            for packet in source.demux(source.streams.video[0]):
                if packet.dts is not None:
                    packet.stream = copied
                    target.mux(packet)
        return tmp_path / name

    return write


def test_time_in_utc_is_read_in_the_zone_of_the_computer(clip):
    late = clip(creation_time="2026-05-08T03:00:00.000000Z")  # eleven in the evening of the 7th in New York
    assert read_day_filmed(late, zone=NEW_YORK) == date(2026, 5, 7)
    assert read_day_filmed(late, zone=UTC) == date(2026, 5, 8)


def test_time_with_its_offset_names_the_day_where_it_was_filmed(clip):
    notes = {"com.apple.quicktime.creationdate": "2026-05-07T23:00:00-0400"}
    late = clip(creation_time="2026-05-08T03:00:00.000000Z", **notes)
    assert read_day_filmed(late, zone=UTC) == date(2026, 5, 7)


def test_clip_without_a_day_is_dated_today_and_says_so(clip):
    found = find_lesson_day([clip()], today=TODAY)
    assert found.day == TODAY
    assert "do not say when they were filmed" in found.says


@pytest.mark.parametrize("time", ["1970-01-01T12:00:00Z", "2031-01-01T12:00:00Z"])
def test_clock_that_is_wrong_is_not_believed(clip, time):
    assert find_lesson_day([clip(creation_time=time)], today=TODAY).day == TODAY


def test_earlier_of_two_days_counts_and_both_are_named(clip):
    side = clip("side.mov", creation_time="2026-05-09T12:00:00Z")
    front = clip("front.mov", creation_time="2026-05-07T12:00:00Z")
    found = find_lesson_day([side, front], today=TODAY, zone=UTC)
    assert found.day == date(2026, 5, 7)
    assert "side.mov on 2026-05-09 and front.mov on 2026-05-07" in found.says


def test_what_is_given_counts_before_what_a_clip_says(clip):
    side = clip(creation_time="2026-05-09T12:00:00Z")
    assert find_lesson_day([side], today=TODAY, given=date(2026, 1, 2)).day == date(2026, 1, 2)


def test_photograph_is_dated_by_its_camera(tmp_path):
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = "2026:05:07 23:00:00"
    Image.new("RGB", (32, 32)).save(tmp_path / "a.jpg", exif=exif)
    assert read_day_filmed(tmp_path / "a.jpg", zone=UTC) == date(2026, 5, 7)
    Image.new("RGB", (32, 32)).save(tmp_path / "b.jpg")
    assert read_day_filmed(tmp_path / "b.jpg") is None

"""The overlay clip of a stroke: half speed with true times, small, whole or not there, no face where it is hidden."""

import json
import shutil
import sys
from pathlib import Path

import av
import cv2
import numpy as np
import pytest
from attrs import evolve
from PIL import Image, ImageColor

sys.path.insert(0, str(Path(__file__).parent))
from filmed_figure import EVENTS_S, decode, film_stroke, write_pictures

from putt_posture.clips import read_clip
from putt_posture.drawing import overlay_clip
from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.overlay_clip import MOST_BYTES, hide_overlay_heads, plan_overlay, write_overlay_clip
from putt_posture.drawing.overlay_frame import BAR_PX
from putt_posture.drawing.overlay_heads import follow_head
from putt_posture.errors import OutputError, UsageError
from putt_posture.values import LANDMARK_INDEX, Clip, Estimate, Head, SeenStroke, absent

GOLFER = Path(__file__).parents[1] / "accuracy" / "golfers" / "golfer_044_usual"


@pytest.fixture(scope="module")
def filmed(tmp_path_factory):
    return film_stroke(tmp_path_factory.mktemp("filmed"))


@pytest.fixture(scope="module")
def written(filmed, tmp_path_factory):
    path = tmp_path_factory.mktemp("written") / "overlay.mp4"
    return path, write_overlay_clip(path, filmed)


def near(picture, colour, *, within=60):
    """Return which pixels have nearly a colour."""
    return np.abs(picture.astype(int) - ImageColor.getrgb(colour)).sum(axis=2) < within


def test_it_is_h264_that_every_phone_plays_with_its_list_of_frames_first(written):
    path, overlay = written
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        assert (stream.codec_context.name, stream.codec_context.pix_fmt) == ("h264", "yuv420p")
        assert (stream.width, stream.height) == overlay.size_px
        assert stream.width % 2 == stream.height % 2 == 0
        assert len(container.streams) == 1
    data = path.read_bytes()
    assert 0 < data.find(b"moov") < data.find(b"mdat")


@pytest.mark.parametrize(
    ("speed", "slower"), [(None, 2.0), (1.0, 1.0), pytest.param(0.25, 4.0, marks=pytest.mark.whole)]
)
def test_it_plays_the_frames_of_the_stroke_slower_by_as_much_as_asked_for(filmed, written, tmp_path, speed, slower):
    """Half as quick where nothing is asked for."""
    path, overlay = written
    if speed is not None:
        path = tmp_path / "overlay.mp4"
        overlay = write_overlay_clip(path, filmed, speed=speed)
    _, times = decode(path)
    shown = filmed.seen.times_s[(filmed.seen.times_s >= overlay.start_s) & (filmed.seen.times_s <= overlay.end_s)]
    assert times == pytest.approx((shown - shown[0]) * slower, abs=2e-4)
    assert overlay.start_s == pytest.approx(EVENTS_S[0] - 0.7, abs=0.02)
    assert overlay.end_s == pytest.approx(EVENTS_S[3] + 0.7, abs=0.1)
    assert overlay.events_s["impact"] == pytest.approx((EVENTS_S[2] - overlay.start_s) * slower)


def test_uneven_times_and_lost_frames_stay_as_they_were_filmed(tmp_path):
    rng = np.random.default_rng(1)
    times = np.cumsum(rng.uniform(0.024, 0.1, 45))
    times = times - times[0]
    filmed = film_stroke(tmp_path, times_s=np.delete(times, [20, 21]))
    overlay = write_overlay_clip(tmp_path / "overlay.mp4", filmed)
    _, found = decode(tmp_path / "overlay.mp4")
    shown = filmed.seen.times_s[(filmed.seen.times_s >= overlay.start_s) & (filmed.seen.times_s <= overlay.end_s)]
    assert found == pytest.approx(2 * (shown - shown[0]), abs=5e-4)


def test_of_stretched_slow_motion_the_real_speed_counts_and_no_more_pictures_than_are_seen(tmp_path):
    """240 frames a second that the file plays at 30: eight seconds of the file are one of the world."""
    times = np.arange(0, 3.4, 1 / 60)
    filmed = film_stroke(tmp_path, times_s=times * 8)
    events = {
        name: evolve(time, value=time.value * 8, standard_uncertainty=0.05)
        for name, time in filmed.stroke.events.items()
    }
    slow = evolve(
        filmed,
        clip=evolve(filmed.clip, time_stretch=8.0),
        stroke=evolve(filmed.stroke, events=events),
        seen=evolve(filmed.seen, stroke_s=(EVENTS_S[0] * 8, EVENTS_S[3] * 8)),
    )
    overlay = write_overlay_clip(tmp_path / "overlay.mp4", slow, speed=0.25)
    _, found = decode(tmp_path / "overlay.mp4")
    assert found[-1] == pytest.approx((EVENTS_S[3] - EVENTS_S[0] + 1.4) * 4, abs=0.3)
    assert overlay.shown_at(8 * EVENTS_S[2]) == pytest.approx(overlay.events_s["impact"])
    full = write_overlay_clip(tmp_path / "full.mp4", slow, speed=2.0)
    _, fast = decode(tmp_path / "full.mp4")
    assert np.diff(fast).min() > 1 / 66
    assert full.speed == 2.0


def test_it_stays_below_its_most_bytes_whatever_the_picture_holds(tmp_path, monkeypatch):
    """Noise, which no coder makes small."""
    monkeypatch.setattr(overlay_clip, "MOST_BYTES", 400_000)
    rng = np.random.default_rng(2)
    filmed = film_stroke(tmp_path, rate_hz=15)
    times = filmed.seen.times_s
    noise = (rng.integers(0, 256, (320, 240, 3), dtype=np.uint8) for _ in times)
    clip = read_clip(write_pictures(tmp_path / "noise.mp4", noise, times_s=times), view="face_on")
    write_overlay_clip(tmp_path / "overlay.mp4", evolve(filmed, clip=clip))
    assert 100_000 < (tmp_path / "overlay.mp4").stat().st_size <= 400_000
    assert MOST_BYTES <= 5_000_000


def test_lines_and_trails_lie_on_the_stroke(written, filmed):
    path, overlay = written
    pictures, times = decode(path)
    scale = overlay.picture_px[0] / (overlay.box_px[2] - overlay.box_px[0])

    def place(point):
        return np.rint((np.asarray(point) - overlay.box_px[:2]) * scale).astype(int)

    last = pictures[-1]
    row = np.argmin(np.abs(filmed.seen.times_s - overlay.clip_time(times[-1])))
    middle = filmed.seen.points_px[row][
        [LANDMARK_INDEX[f"{side}_{part}"] for side in ("left", "right") for part in ("hip", "shoulder")]
    ]
    u, v = place(middle.mean(axis=0))
    assert near(last, PART_COLOURS["trunk"])[v - 3 : v + 4, u - 3 : u + 4].any()
    for time in (EVENTS_S[1], EVENTS_S[2], EVENTS_S[3]):
        row = np.argmin(np.abs(filmed.seen.times_s - time))
        u, v = place(filmed.seen.putter_head_px[row])
        assert near(last, PART_COLOURS["club"], within=90)[v - 3 : v + 4, u - 3 : u + 4].any(), time
    before = pictures[np.argmin(np.abs(times - overlay.shown_at(EVENTS_S[0])))]
    far = place(filmed.seen.putter_head_px[np.argmin(np.abs(filmed.seen.times_s - EVENTS_S[1]))])
    assert not near(before, PART_COLOURS["club"], within=90)[far[1] - 3 : far[1] + 4, far[0] - 3 : far[0] + 4].any()


def test_a_turned_camera_does_not_make_a_trail_longer(tmp_path):
    """The trail of a putter head that goes 29 cm forward of 24 back is as wide in the picture with a pan as without."""
    wide = []
    for pan in (0.0, 60.0):
        folder = tmp_path / f"{pan:g}"
        folder.mkdir()
        filmed = film_stroke(folder, pan_px=pan, rate_hz=15)
        overlay = write_overlay_clip(folder / "overlay.mp4", filmed)
        picture = decode(folder / "overlay.mp4")[0][-1]
        scale = overlay.picture_px[0] / (overlay.box_px[2] - overlay.box_px[0])
        level = round((292 - overlay.box_px[1]) * scale)
        columns = np.flatnonzero(near(picture, PART_COLOURS["club"], within=110)[level - 4 : level + 5].any(axis=0))
        wide.append(np.ptp(columns) / scale)
    assert wide[0] == pytest.approx(2.2 * 24 * 1.5, abs=6)
    assert wide[1] == pytest.approx(wide[0], abs=6)


def test_the_time_bar_goes_on_and_the_events_are_named_as_they_pass(written):
    path, overlay = written
    pictures, times = decode(path)

    def passed(time):
        strip = pictures[np.argmin(np.abs(times - time))][-BAR_PX:]
        return int((strip[39].min(axis=1) > 200).sum())

    def name(time):
        strip = pictures[np.argmin(np.abs(times - time))][-BAR_PX:]
        return int((strip[:30, : overlay.size_px[0] // 2].min(axis=2) > 200).sum())

    lengths = [passed(share * times[-1]) for share in (0.1, 0.4, 0.7, 1.0)]
    assert lengths == sorted(set(lengths))
    at = overlay.events_s
    assert name(at["start"] - 0.3) == 0
    assert min(name(at[event] + 0.1) for event in at) > 30
    assert len({name(at[event] + 0.1) for event in at}) == 4


def test_nothing_is_there_after_an_error_and_an_older_clip_stays(filmed, written, tmp_path, monkeypatch):
    path = shutil.copy(written[0], tmp_path / "overlay.mp4")
    older = path.read_bytes()
    real, drawn = overlay_clip.OverlayPen.draw, []

    def draw(self, picture, *, time_s):
        drawn.append(time_s)
        if len(drawn) > 20:
            raise OSError("the disk went away")
        return real(self, picture, time_s=time_s)

    monkeypatch.setattr(overlay_clip.OverlayPen, "draw", draw)
    with pytest.raises(OutputError):
        write_overlay_clip(tmp_path / "other.mp4", filmed)
    drawn.clear()
    with pytest.raises(OutputError):
        write_overlay_clip(path, filmed, replace=True)
    assert [each.name for each in tmp_path.iterdir()] == ["overlay.mp4"]
    assert path.read_bytes() == older


def test_one_picture_is_in_memory_at_a_time(tmp_path, monkeypatch):
    filmed = film_stroke(tmp_path, rate_hz=10)
    waiting, most = [], []
    real_frames, real_draw = overlay_clip.iterate_frames, overlay_clip.OverlayPen.draw

    def frames(*given, **more):
        for frame in real_frames(*given, **more):
            waiting.append(frame.time_s)
            most.append(len(waiting))
            yield frame

    def draw(self, picture, *, time_s):
        waiting.remove(time_s)
        return real_draw(self, picture, time_s=time_s)

    monkeypatch.setattr(overlay_clip, "iterate_frames", frames)
    monkeypatch.setattr(overlay_clip.OverlayPen, "draw", draw)
    write_overlay_clip(tmp_path / "overlay.mp4", filmed)
    assert max(most) == 1


def test_a_stroke_without_events_is_shown_from_where_it_roughly_starts_to_where_it_ends(filmed):
    missing = {name: absent("Not found.", unit="s") for name in filmed.stroke.events}
    overlay = plan_overlay(evolve(filmed, stroke=evolve(filmed.stroke, events=missing)))
    assert overlay.events_s == {}
    assert overlay.start_s == pytest.approx(EVENTS_S[0] - 0.7, abs=0.02)
    assert overlay.end_s == pytest.approx(EVENTS_S[3] + 0.7, abs=0.1)


def test_a_still_is_refused_in_one_sentence(filmed, tmp_path):
    clip = Clip(path=tmp_path / "a.jpg", sha256="", view="face_on", kind="still", width=10, height=10)
    with pytest.raises(UsageError, match=r"a\.jpg shows no stroke"):
        write_overlay_clip(tmp_path / "overlay.mp4", evolve(filmed, clip=clip))


@pytest.fixture(scope="module")
def golfer(tmp_path_factory):
    """A rendered golfer whose face OpenCV's detector sees, filmed by a camera that is turned a little."""
    picture = np.asarray(Image.open(GOLFER / "dtl.jpg").convert("RGB"))
    truth = json.loads((GOLFER / "truth.json").read_text(encoding="utf-8"))["views"]["down_the_line"]
    scale = picture.shape[0] / truth["size_px"][1]
    points = np.full((33, 2), np.nan)
    for name, place in truth["joints_px"].items():
        if name in LANDMARK_INDEX:
            points[LANDMARK_INDEX[name]] = np.array(place) * scale
    folder, times = tmp_path_factory.mktemp("golfer"), np.arange(24) / 20
    shifts = np.arange(24) * 2
    path = write_pictures(folder / "clip.mp4", (np.roll(picture, each, axis=1) for each in shifts), times_s=times)
    seen = SeenStroke.without_putter(
        view="down_the_line",
        times_s=times,
        address_s=(0.0, 0.1),
        stroke_s=(0.1, 1.0),
        points_px=points + np.stack([shifts, 0 * shifts], axis=1)[:, None],
        ball_leaves_s=absent("No ball.", unit="s"),
        why="The ball leaves.",
    )
    filmed = film_stroke(folder, name="other.mp4", view="down_the_line")
    times = {
        name: Estimate(value=at, standard_uncertainty=0.01, unit="s", view="down_the_line", method="made up")
        for name, at in zip(filmed.stroke.events, (0.2, 0.5, 0.7, 0.9), strict=True)
    }
    return evolve(
        filmed, clip=read_clip(path, view="down_the_line"), seen=seen, stroke=evolve(filmed.stroke, events=times),
        px_per_cm=None,
    )  # fmt: skip


def faces_by_frame(path, overlay, golfer):
    """Return which frames OpenCV's face detectors see a face in, where the head is."""
    cascades = [
        cv2.CascadeClassifier(f"{cv2.data.haarcascades}haarcascade_{name}.xml")
        for name in ("frontalface_default", "frontalface_alt2", "profileface")
    ]
    pictures, times = decode(path)
    scale = overlay.picture_px[0] / (overlay.box_px[2] - overlay.box_px[0])
    heads = follow_head(golfer.seen, px_per_cm=None)
    found = []
    for picture, time in zip(pictures, times, strict=True):
        row = np.argmin(np.abs(golfer.seen.times_s - overlay.clip_time(time)))
        (head,) = heads.heads[row]
        u, v = ((each - low) * scale for each, low in zip(head.centre_px, overlay.box_px, strict=False))
        reach = 2 * head.radius_px * scale
        left, top = max(round(u - reach), 0), max(round(v - reach), 0)
        square = picture[top : round(v + reach), left : round(u + reach)]
        grey = cv2.cvtColor(cv2.resize(square, (400, 400)), cv2.COLOR_RGB2GRAY)
        boxes = (
            box for each in (grey, cv2.flip(grey, 1)) for cascade in cascades for box in cascade.detectMultiScale(each)
        )
        found.append(any(np.hypot(x + w / 2 - 200, y + h / 2 - 200) < 130 for x, y, w, h in boxes))
    return np.array(found)


@pytest.fixture
def no_others(monkeypatch):
    """The large model, which takes long, finds no head, so that only the landmarks of the stroke hide the student's."""
    monkeypatch.setattr(overlay_clip, "find_heads", lambda picture: ())


def test_no_frame_shows_a_face_where_heads_are_hidden_even_without_landmarks(golfer, tmp_path, no_others):
    shown = write_overlay_clip(tmp_path / "shown.mp4", golfer)
    assert not shown.heads_hidden
    assert faces_by_frame(tmp_path / "shown.mp4", shown, golfer).mean() > 0.8
    lost = golfer.seen.points_px.copy()
    lost[5:15] = np.nan  # the student was not seen in these frames
    lost[18] += 200.0  # and seen elsewhere in one
    blind = evolve(golfer, seen=evolve(golfer.seen, points_px=lost))
    with_gap = write_overlay_clip(tmp_path / "hidden.mp4", blind, hide_head=True)
    assert with_gap.heads_hidden
    assert not faces_by_frame(tmp_path / "hidden.mp4", with_gap, golfer).any()


def test_heads_of_an_overlay_clip_are_hidden_later_without_the_clip_that_was_filmed(golfer, tmp_path, no_others):
    shown = write_overlay_clip(tmp_path / "shown.mp4", golfer)
    hidden = hide_overlay_heads(tmp_path / "shown.mp4", tmp_path / "hidden.mp4", shown, golfer.seen)
    assert hidden == evolve(shown, heads_hidden=True)
    assert not faces_by_frame(tmp_path / "hidden.mp4", hidden, golfer).any()
    assert decode(tmp_path / "hidden.mp4")[1] == pytest.approx(decode(tmp_path / "shown.mp4")[1], abs=1e-4)


def test_where_no_head_is_known_in_any_frame_nothing_of_the_picture_is_told(golfer, tmp_path, no_others):
    blind = evolve(golfer, seen=evolve(golfer.seen, points_px=np.full_like(golfer.seen.points_px, np.nan)))
    overlay = write_overlay_clip(tmp_path / "hidden.mp4", blind, hide_head=True)
    for picture in decode(tmp_path / "hidden.mp4")[0]:
        inside = cv2.cvtColor(picture[: overlay.picture_px[1]], cv2.COLOR_RGB2GRAY)
        assert cv2.Laplacian(inside, cv2.CV_64F).std() < 3


def test_heads_of_others_are_hidden_where_they_are_found_and_until_the_next_search(golfer, tmp_path, monkeypatch):
    """The model finds a person in the first search only; the disc stays up to the second."""
    searched = []

    def find(picture):
        searched.append(picture.shape)
        return (Head(centre_px=(300.0, 600.0), radius_px=40.0),) if len(searched) == 1 else ()

    monkeypatch.setattr(overlay_clip, "find_heads", find)
    plain = write_overlay_clip(tmp_path / "plain.mp4", golfer)
    hidden = write_overlay_clip(tmp_path / "hidden.mp4", golfer, hide_head=True)
    assert len(searched) == 3
    assert {shape[:2] for shape in searched} == {hidden.picture_px[::-1]}
    one, other = decode(tmp_path / "plain.mp4")[0], decode(tmp_path / "hidden.mp4")[0]
    place = np.s_[570:630, 270:330]
    changed = [np.abs(a[place].astype(int) - b[place]).mean() for a, b in zip(one, other, strict=True)]
    half = len(changed) // 2
    assert min(changed[:half]) > 3 * max(changed[half + 2 :])
    assert plain.box_px == hidden.box_px

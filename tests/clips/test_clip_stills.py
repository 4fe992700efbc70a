"""Still pictures go through the same door as clips.

Outside truth: Pillow's `ImageOps.exif_transpose`, pictures written by Pillow, OpenCV and libheif, and for HDR
the published levels of ITU-R BT.2408 (see `test_clip_hdr.py`).
"""

import io

import cv2
import numpy as np
import pillow_heif
import pytest
from PIL import Image, ImageCms, ImageOps
from written_clips import numbered_picture, patch_colours, write_clip

from putt_posture.clips import iterate_frames, read_clip, read_frames_at
from putt_posture.errors import ClipTooLarge, UnreadableClip

LOSSY_LEVELS = 4.0
"""Mean difference, 0 to 255, of a picture stored with loss at the best quality."""

ORIENTATION_TAG = 0x0112


def only_picture(path, **options):
    frames = list(iterate_frames(read_clip(path, view="face_on"), **options))
    assert len(frames) == 1
    assert frames[0].time_s == 0.0
    return frames[0].picture


@pytest.mark.parametrize("number", range(1, 9))
def test_exif_orientation_is_applied_as_pillow_applies_it(tmp_path, number):
    exif = Image.Exif()
    exif[ORIENTATION_TAG] = number
    path = tmp_path / "turned.jpg"
    Image.fromarray(numbered_picture(0b00101101)).save(path, exif=exif, quality=95)
    clip = read_clip(path, view="face_on")
    with Image.open(path) as image:
        upright = np.asarray(ImageOps.exif_transpose(image))
    assert np.array_equal(only_picture(path), upright)
    assert (clip.height, clip.width) == upright.shape[:2]
    assert clip.mirrored == (number in {2, 4, 5, 7})
    assert clip.rotation_deg == {3: 180, 4: 180, 5: 270, 6: 90, 7: 90, 8: 270}.get(number, 0)
    assert bool(clip.notes) == clip.mirrored


def test_still_is_a_clip_without_duration_that_gives_its_picture_at_any_time(tmp_path):
    path = tmp_path / "still.png"
    Image.fromarray(numbered_picture(77)).save(path)
    clip = read_clip(path, view="down_the_line", capture_rate_hz=240)
    assert (clip.kind, clip.duration_s, clip.rate_hz, clip.time_stretch) == ("still", 0.0, 0.0, 1.0)
    frames = read_frames_at(clip, [0.0, 3.0], max_side=64)
    assert [frame.picture.shape for frame in frames] == [(48, 64, 3)] * 2
    assert frames[0].scale == 0.5
    assert list(iterate_frames(clip, start_s=1.0)) == []


@pytest.mark.parametrize("number", [1, 3, 6, 8])
def test_heic_comes_out_upright(tmp_path, number):
    exif = Image.Exif()
    exif[ORIENTATION_TAG] = number
    image = Image.fromarray(numbered_picture(0b00101101))
    path = tmp_path / "still.heic"
    pillow_heif.from_pillow(image).save(path, quality=95, chroma=444, exif=exif.tobytes())
    stored = io.BytesIO()
    image.save(stored, "png", exif=exif)
    upright = np.asarray(ImageOps.exif_transpose(Image.open(stored)))
    found = only_picture(path)
    assert found.shape == upright.shape
    assert np.abs(found.astype(int) - upright).mean() < LOSSY_LEVELS
    assert read_clip(path, view="face_on").codec == "heif"


def test_hdr_heic_is_toned(tmp_path):
    signals = np.array([0.38, 0.58])  # PQ: grey card and reference white (BT.2408, table 1)
    signal = np.rint(signals * 65535).astype(np.uint16).repeat(32)[None, :, None].repeat(64, 0).repeat(3, 2)
    path = tmp_path / "hdr.heic"
    pillow_heif.encode(
        "RGB;16",
        (64, 64),
        signal.tobytes(),
        path,
        quality=-1,
        chroma=444,
        color_primaries=9,
        transfer_characteristics=16,
        matrix_coefficients=9,
        full_range_flag=1,
    )
    clip = read_clip(path, view="face_on")
    assert clip.transfer == "pq"
    assert np.abs(patch_colours(only_picture(path), 2).mean(axis=1) - (100, 228)).max() < 3


def test_sixteen_bits_keep_their_tones(tmp_path):
    ramp = np.linspace(0, 65535, 96).astype(np.uint16)[None].repeat(64, 0)
    expected = np.rint(ramp / 65535 * 255)
    for name, picture in {"grey.png": ramp, "colour.png": np.stack([ramp] * 3, axis=2)}.items():
        path = tmp_path / name
        assert cv2.imwrite(str(path), picture)
        assert np.abs(only_picture(path).astype(int) - expected[..., None]).max() <= 1, name


@pytest.mark.parametrize("mode", ["L", "LA", "P", "1", "RGBA", "CMYK"])
def test_every_kind_of_picture_becomes_rgb(tmp_path, mode):
    path = tmp_path / ("still.jpg" if mode == "CMYK" else "still.png")
    image = Image.fromarray(numbered_picture(0b00101101)).convert(mode)
    image.save(path)
    expected = np.asarray(image.convert("RGB")).astype(int)
    assert np.abs(only_picture(path) - expected).mean() < LOSSY_LEVELS


def test_transparent_parts_are_white(tmp_path):
    layer = np.full((40, 60, 4), (200, 0, 0, 255), np.uint8)
    layer[:, 30:, 3] = 0
    path = tmp_path / "cut_out.png"
    Image.fromarray(layer).save(path)
    found = only_picture(path)
    assert tuple(found[20, 10]) == (200, 0, 0)
    assert tuple(found[20, 50]) == (255, 255, 255)


def test_colour_profile_of_the_picture_is_used(tmp_path):
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB"))
    path = tmp_path / "profile.png"
    plain = Image.fromarray(numbered_picture(3))
    plain.save(path, icc_profile=profile.tobytes())  # of another kind of picture: left alone
    assert np.array_equal(only_picture(path), numbered_picture(3))
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))
    plain.save(path, icc_profile=srgb.tobytes())
    assert np.abs(only_picture(path).astype(int) - numbered_picture(3)).max() <= 1


@pytest.mark.parametrize("suffix", ["webp", "tiff", "bmp", "gif", "avif"])
def test_name_of_the_file_does_not_matter(tmp_path, suffix):
    written = tmp_path / f"still.{suffix}"
    Image.fromarray(numbered_picture(90)).save(written)
    renamed = written.rename(tmp_path / "clip.mp4")
    clip = read_clip(renamed, view="face_on")
    assert (clip.kind, clip.width, clip.height) == ("still", 128, 96)


def test_video_of_one_frame_is_taken_as_a_still(tmp_path):
    path = write_clip(tmp_path / "one.mp4", [numbered_picture(42)])
    clip = read_clip(path, view="face_on")
    assert (clip.kind, clip.duration_s) == ("still", 0.0)
    assert clip.notes == ("one.mp4 has a single frame and was treated as a still picture.",)
    assert read_frames_at(clip, [2.0])[0].picture.shape == (96, 128, 3)
    assert only_picture(path, max_side=64).shape == (48, 64, 3)


@pytest.mark.parametrize("size", [(10_000, 20), (8_500, 8_500)])
def test_picture_with_too_many_pixels_is_refused_before_it_is_decoded(tmp_path, size):
    path = tmp_path / "large.png"
    Image.new("1", size).save(path)
    with pytest.raises(ClipTooLarge, match=rf"large\.png is {size[0]} × {size[1]} pixels, but"):
        read_clip(path, view="face_on")


def test_picture_that_unfolds_like_a_bomb_is_refused(tmp_path, monkeypatch):
    path = tmp_path / "bomb.png"
    Image.new("1", (400, 400)).save(path)
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 1000)
    with pytest.raises(ClipTooLarge, match=r"bomb\.png has more pixels than are accepted"):
        read_clip(path, view="face_on")


@pytest.mark.parametrize("suffix", ["jpg", "png", "heic"])
def test_picture_cut_short_is_refused(tmp_path, suffix):
    path = tmp_path / f"cut.{suffix}"
    image = Image.fromarray(np.random.default_rng(1).integers(0, 255, (200, 300, 3), dtype=np.uint8))
    if suffix == "heic":
        pillow_heif.from_pillow(image).save(path)
    else:
        image.save(path)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    with pytest.raises(UnreadableClip, match=rf"cut\.{suffix} is a damaged picture or was cut short") as caught:
        read_clip(path, view="face_on")
    assert caught.value.path == path

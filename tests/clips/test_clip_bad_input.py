"""A file that cannot be used is refused in a sentence or two that say what to do; nothing else is printed."""

import os
import re
import wave
from pathlib import Path

import numpy as np
import pytest
from written_clips import QUIET, write_clip

from putt_posture.clips import iterate_frames, read_clip, read_frames_at
from putt_posture.errors import ClipError, ClipTooLarge, UnreadableClip


@pytest.fixture(scope="module")
def noisy_clips(tmp_path_factory):
    """Four seconds that do not compress, so that half the bytes are about half the time; by name of the file."""
    folder = tmp_path_factory.mktemp("noisy")
    generator = np.random.default_rng(7)
    pictures = [generator.integers(0, 255, (48, 64, 3), dtype=np.uint8) for _ in range(120)]
    x264, x265 = {**QUIET["libx264"], "g": "30"}, {"x265-params": "log-level=none:keyint=30", "crf": "20"}
    front = {"movflags": "faststart"}
    return {
        "front.mp4": write_clip(folder / "front.mp4", pictures, options=x264, muxer=front),
        "hevc.mov": write_clip(folder / "hevc.mov", pictures, codec="libx265", options=x265, muxer=front),
        "end.mp4": write_clip(folder / "end.mp4", pictures, options=x264),
        "clip.mkv": write_clip(folder / "clip.mkv", pictures, options=x264),
    }


def cut(source: Path, target: Path, share: float) -> Path:
    whole = source.read_bytes()
    target.write_bytes(whole[: int(len(whole) * share)])
    return target


def refusal(path: Path, kind: type[ClipError] = UnreadableClip) -> str:
    with pytest.raises(kind) as caught:
        read_clip(path, view="face_on")
    message = str(caught.value)
    assert caught.value.path == path
    assert path.name in message
    assert "\n" not in message
    assert message.endswith(".")
    assert len(re.findall(r"[.!?](?=\s|$)", message)) <= 2
    assert "Errno" not in message
    return message


def test_missing_file(tmp_path):
    assert refusal(tmp_path / "none.mp4").endswith("none.mp4 was not found. Check the path.")


def test_folder(tmp_path):
    folder = tmp_path / "clips.mp4"
    folder.mkdir()
    assert "is a folder, but a clip or picture was needed" in refusal(folder)


def test_empty_file(tmp_path):
    path = tmp_path / "empty.mp4"
    path.touch()
    assert refusal(path) == "empty.mp4 is empty (0 bytes). Copy it from the phone again."


def test_file_that_is_not_an_ordinary_one(tmp_path):
    path = tmp_path / "pipe.mp4"
    os.mkfifo(path)
    assert "is not an ordinary file" in refusal(path)


def test_file_that_may_not_be_read(tmp_path, monkeypatch):
    path = tmp_path / "secret.mp4"
    path.write_bytes(b"x")

    def forbidden(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", forbidden)  # the administrator may read a file of mode 0
    assert "may not be read by this user" in refusal(path)


@pytest.mark.parametrize(
    "text",
    [
        "Putting notes for Tuesday.\n" * 40,
        "#EXTM3U\n#EXTINF:9,\nplain.mp4\n#EXT-X-ENDLIST\n",
        "ffconcat version 1.0\nfile plain.mp4\n",
    ],
    ids=["notes", "play list", "list of files"],
)
def test_text_under_the_name_of_a_clip(tmp_path, plain_clip, text):
    (tmp_path / "plain.mp4").write_bytes(plain_clip.read_bytes())
    path = tmp_path / "text.mp4"
    path.write_text(text)
    assert "is not a video or picture that can be read" in refusal(path)


def test_sound_alone(tmp_path):
    path = tmp_path / "sound.wav"
    with wave.open(str(path), "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(8000)
        sound.writeframes(bytes(16000))
    assert refusal(path) == ("sound.wav has no video track (1 audio track found). Record again, or pick another file.")


def test_unknown_code(tmp_path, plain_clip):
    path = tmp_path / "unknown.mp4"
    path.write_bytes(plain_clip.read_bytes().replace(b"avc1", b"zzz9"))
    assert "with an unknown codec" in refusal(path)


def test_video_of_which_nothing_decodes(tmp_path, noisy_clips):
    path = tmp_path / "scrambled.mp4"
    whole = bytearray(noisy_clips["front.mp4"].read_bytes())
    start = whole.index(b"mdat") + 4
    whole[start:] = np.random.default_rng(3).integers(0, 255, len(whole) - start, dtype=np.uint8).tobytes()
    path.write_bytes(whole)
    assert "not one frame of it can be decoded" in refusal(path)


def test_clip_with_too_many_pixels(tmp_path):
    wide = np.zeros((16, 9600, 3), np.uint8)
    path = write_clip(tmp_path / "wide.mp4", [wide])
    assert refusal(path, ClipTooLarge).startswith("wide.mp4 is 9600 × 16 pixels, but no side over 9000")


def test_clip_cut_before_its_index(tmp_path, noisy_clips):
    assert "the index that a video needs is missing" in refusal(cut(noisy_clips["end.mp4"], tmp_path / "cut.mp4", 0.6))


@pytest.mark.parametrize("name", ["front.mp4", "hevc.mov", "clip.mkv"])
def test_clip_cut_in_the_middle_is_used_as_far_as_it_goes(tmp_path, noisy_clips, name):
    path = cut(noisy_clips[name], tmp_path / name, 0.6)
    clip = read_clip(path, view="face_on")
    assert len(clip.notes) == 1
    assert re.fullmatch(
        rf"{re.escape(name)} was cut short or damaged after 2\.\d s of 4\.0 s; only the rest was used\.",
        clip.notes[0],
    )
    assert 2.0 < clip.duration_s < 2.8
    frames = list(iterate_frames(clip))
    assert clip.duration_s - 0.2 < frames[-1].time_s < clip.duration_s
    assert read_frames_at(clip, [clip.duration_s])[0].time_s == frames[-1].time_s
    assert clip.rate_hz == pytest.approx(30, rel=0.01)


@pytest.mark.parametrize("name", ["front.mp4", "hevc.mov", "clip.mkv"])
def test_clip_of_which_too_little_is_left_is_refused(tmp_path, noisy_clips, name):
    message = refusal(cut(noisy_clips[name], tmp_path / name, 0.2))
    assert re.search(r"0\.\d s of it can be read, but at least 1 s are needed", message)


@pytest.mark.parametrize("name", ["front.mp4", "hevc.mov", "clip.mkv"])
def test_copy_that_ends_in_zeros_is_used_as_far_as_it_goes(tmp_path, noisy_clips, name):
    whole = noisy_clips[name].read_bytes()
    path = tmp_path / name
    path.write_bytes(whole[: len(whole) // 2] + bytes(len(whole) - len(whole) // 2))
    clip = read_clip(path, view="face_on")
    assert "cut short or damaged" in clip.notes[0]
    last = max(frame.time_s for frame in iterate_frames(clip))
    assert 1.5 < last < clip.duration_s < 2.3


@pytest.mark.parametrize("name", ["front.mp4", "hevc.mov"])
def test_clip_whose_second_half_is_noise_is_used_as_far_as_it_goes(tmp_path, noisy_clips, name):
    whole = bytearray(noisy_clips[name].read_bytes())
    half = len(whole) // 2
    whole[half:] = np.random.default_rng(6).integers(0, 255, len(whole) - half, dtype=np.uint8).tobytes()
    path = tmp_path / name
    path.write_bytes(whole)
    clip = read_clip(path, view="face_on")
    assert re.search(r"cut short or damaged after [12]\.\d s of 4\.0 s", clip.notes[0])
    last = max(frame.time_s for frame in iterate_frames(clip))
    assert clip.duration_s == pytest.approx(last, abs=0.2)


def test_damage_in_the_middle_costs_only_the_damaged_frames(tmp_path, noisy_clips):
    whole = bytearray(noisy_clips["front.mp4"].read_bytes())
    middle = len(whole) // 2
    whole[middle : middle + 4000] = np.random.default_rng(5).integers(0, 255, 4000, dtype=np.uint8).tobytes()
    path = tmp_path / "hit.mp4"
    path.write_bytes(whole)
    clip = read_clip(path, view="face_on")
    times = np.array([frame.time_s for frame in iterate_frames(clip)])
    assert 60 < len(times) <= 120
    assert times[-1] > 3.5
    assert (np.diff(times) > 0).all()


def test_file_that_vanishes_or_changes_later_is_reported(tmp_path, plain_clip):
    path = tmp_path / "gone.mp4"
    path.write_bytes(plain_clip.read_bytes())
    clip = read_clip(path, view="face_on")
    path.write_text("no longer a clip")
    for read in (lambda: list(iterate_frames(clip)), lambda: read_frames_at(clip, [1.0])):
        with pytest.raises(UnreadableClip, match="is not a video or picture"):
            read()
    path.unlink()
    with pytest.raises(UnreadableClip, match="was not found"):
        list(iterate_frames(clip))


def test_decoder_prints_nothing_of_its_own(tmp_path, noisy_clips, capfd):
    for name in ("front.mp4", "hevc.mov", "clip.mkv", "end.mp4"):
        whole = bytearray(cut(noisy_clips[name], tmp_path / name, 0.7).read_bytes())
        whole[len(whole) // 2 :: 40] = bytes(len(whole[len(whole) // 2 :: 40]))
        (tmp_path / name).write_bytes(whole)
        try:
            list(iterate_frames(read_clip(tmp_path / name, view="face_on")))
        except UnreadableClip:
            assert name == "end.mp4"
    printed = capfd.readouterr()
    assert printed.out == printed.err == ""


@pytest.mark.parametrize("name", ["-clip.mp4", "clip:1 %d.mp4", "été à 7 h.mp4"])
def test_any_file_name_works(tmp_path, monkeypatch, plain_clip, name):
    (tmp_path / name).write_bytes(plain_clip.read_bytes())
    monkeypatch.chdir(tmp_path)
    assert len(list(iterate_frames(read_clip(name, view="face_on"), rate_hz=1))) == 3

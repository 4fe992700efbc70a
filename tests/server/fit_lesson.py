"""A measured draft for the tests of the fit page: a released result folder, with a made-up picture as its still."""

import io
import json
import shutil
from datetime import datetime
from pathlib import Path

import numpy as np
from PIL import Image

from putt_posture.disk.marks import MARK, write_mark
from putt_posture.records import read_result_folder
from putt_posture.services import keep_wanted_in_folder
from putt_posture.values import Student, WantedSetup

RELEASED = Path(__file__).parents[1] / "records" / "released" / "0.1.0" / "folder"
WHO = Student(stature_cm=173, handed="right", sex="male", name="Parker Puttwell", putter_length_cm=91.4)


def make_measured_folder(folder):
    """Copy the released folder, measured by the program as it is, with a still of grey stripes."""
    shutil.copytree(RELEASED, folder)
    keep_wanted_in_folder(folder, WantedSetup(knee_flex_deg=14.0))  # what is in its pictures is then kept too
    record = read_result_folder(folder).record
    (folder / "stills").mkdir(exist_ok=True)
    for view, seen in record.views.items():
        wide, high = seen.still_size
        stripes = np.broadcast_to(
            (90 + 80 * (np.arange(high) // 60 % 2)).astype(np.uint8)[:, None, None], (high, wide, 3)
        )
        data = io.BytesIO()
        Image.fromarray(np.ascontiguousarray(stripes)).save(data, "JPEG", quality=60)
        (folder / "stills" / f"{view}_plain.jpg").write_bytes(data.getvalue())
    (folder / MARK).unlink()
    write_mark(folder, "report")
    return folder


def begin_measured_draft(store, folder):
    """Return a draft with the result of a folder."""
    draft = store.begin(WHO, now=datetime(2026, 11, 27, 10, 0))
    shutil.copytree(folder, store.result_folder(draft.id))
    return draft


def read_document(folder):
    return json.loads((folder / "measures.json").read_text(encoding="utf-8"))

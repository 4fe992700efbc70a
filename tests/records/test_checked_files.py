"""What is filed is what it says: each file of a result folder is checked, made anew, or the lesson is refused."""

import base64
import io
import json
import re
import struct
import sys
import zlib
from pathlib import Path

import numpy as np
import pypdf
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))

from attrs import evolve
from invented import make_lesson
from made_up import make_strokes
from made_up_seen import with_seen_strokes
from PIL import ExifTags, Image, PngImagePlugin
from pypdf.annotations import Link
from pypdf.generic import DictionaryObject, NameObject, TextStringObject

from putt_posture.disk.marks import STROKE_CLIPS
from putt_posture.drawing.stills import as_jpeg, as_png
from putt_posture.errors import UsageError
from putt_posture.pages import store_lesson
from putt_posture.records import FILES_WITH_PICTURES, FILES_WITHOUT_PICTURES, check_files, read_result_folder
from putt_posture.records.picture_files import holds_nothing_else, read_picture

ALIKE_LEVELS = 2.0
"""Mean difference, 0 to 255, that writing a JPEG anew makes."""


@pytest.fixture(scope="module")
def kept(whole):
    return read_result_folder(whole)


@pytest.fixture(scope="module")
def still(kept):
    return read_picture(kept.read("stills/face_on.png"), name="a.png", where="it")


STILLS = tuple(
    f"stills/{name}"
    for name in ("face_on.png", "down_the_line.png", "ghost.png", "face_on_plain.jpg", "down_the_line_plain.jpg")
)
"""What the page shows."""


def put(kept, **files):
    """Return the lesson with other bytes in some files; their names are written with two underscores for a stroke."""
    changed = {name.replace("__", "/").replace("_dot_", "."): data for name, data in files.items()}
    return evolve(
        kept,
        names=kept.names | changed.keys(),
        read=lambda name: changed[name] if name in changed else kept.read(name),
    )


def refusal(kept, name=None):
    with pytest.raises(UsageError) as caught:
        check_files(kept, kept.names if name is None else {name, *(STILLS if name.startswith("report") else ())})
    said = str(caught.value)
    assert "\n" not in said
    assert name is None or name in said
    return said


def saved(picture, kind, **about):
    stream = io.BytesIO()
    Image.fromarray(picture).save(stream, kind, **about)
    return stream.getvalue()


def test_what_the_program_wrote_passes_bit_for_bit(kept):
    sometimes = {
        name for name in FILES_WITH_PICTURES | FILES_WITHOUT_PICTURES if name.startswith(("stills/st", "strokes"))
    }
    assert kept.names | sometimes == FILES_WITH_PICTURES | FILES_WITHOUT_PICTURES
    checked = check_files(kept, kept.names)
    assert checked.names == kept.names
    for name in kept.names:
        assert checked.read(name) == kept.read(name), name


def test_the_files_of_a_stroke_pass_bit_for_bit_and_the_page_without_its_clips(tmp_path):
    lesson = evolve(with_seen_strokes(make_lesson(), count=1), strokes=make_strokes())
    clips = dict.fromkeys(lesson.views, b"a clip")
    kept = read_result_folder(store_lesson(lesson, tmp_path / "report", overlays=clips))
    assert {"strokes.csv", "stills/stroke_face_on_top.jpg", "stills/stroke_face_on_top_plain.jpg"} <= kept.names
    assert kept.read("stroke_face_on.mp4") == b"a clip"
    checked = check_files(kept, kept.names)
    assert checked.names == kept.names - STROKE_CLIPS
    for name in checked.names - {"report.html"}:
        assert checked.read(name) == kept.read(name), name
    assert b"<video" in kept.read("report.html")
    assert b"<video" not in checked.read("report.html")


def test_only_what_is_asked_for_is_read(kept):
    asked = []
    watched = evolve(kept, read=lambda name: asked.append(name) or kept.read(name))
    assert check_files(watched, {"measures.csv", "landmarks.npz"}).names == {
        "measures.json", "measures.csv", "landmarks.npz",
    }  # fmt: skip
    assert sorted(asked) == ["landmarks.npz", "measures.json"], "each once; the table is made from the document"


def test_the_table_is_made_anew_from_the_document(kept):
    lying = put(kept, measures_dot_csv=b"measure,value\nspine_tilt,99\n")
    assert check_files(lying, lying.names).read("measures.csv") == kept.read("measures.csv")


def test_the_record_is_that_of_the_bytes_that_are_kept(kept):
    """A document that changes after it was read first."""
    changed = json.loads(kept.read("measures.json")) | {"warnings": ["Another one."]}
    later = put(kept, measures_dot_json=json.dumps(changed).encode())
    assert check_files(later, {"measures.json"}).record.warnings == ("Another one.",)


def test_a_file_that_measure_does_not_write_is_refused(kept):
    assert "portrait.jpg" in refusal(put(kept, stills__portrait_dot_jpg=b"somebody"))


# --- pictures


def with_everything(still):
    """The picture as a camera and an editor would write it: where it was, who took it, and other things."""
    exif = Image.Exif()
    exif[ExifTags.Base.Artist] = "Parker Puttwell"
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (56.0, 20.0, 36.0)
    texts = PngImagePlugin.PngInfo()
    texts.add_text("Author", "Parker Puttwell")
    texts.add_itxt("Story", "Parker Puttwell", zip=True)
    return {
        "stills/face_on.png": saved(still, "PNG", exif=exif, pnginfo=texts, icc_profile=b"Parker Puttwell" * 9),
        "stills/face_on_plain.jpg": saved(
            still, "JPEG", exif=exif, comment=b"Parker Puttwell", icc_profile=b"Parker Puttwell" * 9, quality=88
        ),
    }


@pytest.mark.parametrize("name", ["stills/face_on.png", "stills/face_on_plain.jpg"])
def test_nothing_of_a_picture_is_kept_but_the_pixels(kept, still, name):
    data = with_everything(still)[name]
    assert b"Parker" in data
    lesson = evolve(kept, read=lambda asked: data if asked == name else kept.read(asked))
    found = check_files(lesson, kept.names).read(name)
    assert b"Parker" not in found
    assert b"Exif" not in found
    with Image.open(io.BytesIO(found)) as image:
        assert not image.getexif()
        assert not {"icc_profile", "comment", "Author", "exif"} & image.info.keys()
        off = np.abs(np.asarray(image.convert("RGB")).astype(int) - still).mean()
    assert off == 0 if name.endswith(".png") else off < ALIKE_LEVELS
    again = evolve(lesson, read=lambda asked: found if asked == name else kept.read(asked))
    assert check_files(again, kept.names).read(name) == found, "filed again it is the same"


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_bytes_behind_a_picture_are_gone(still, kept, kind):
    plain = as_png(still) if kind == "PNG" else as_jpeg(still, most_bytes=900_000)
    assert holds_nothing_else(plain)
    assert not holds_nothing_else(plain + b"somebody")
    assert not holds_nothing_else(plain + plain)
    name = "stills/face_on.png" if kind == "PNG" else "stills/face_on_plain.jpg"
    lesson = evolve(kept, read=lambda asked: plain + b"somebody" if asked == name else kept.read(asked))
    assert b"somebody" not in check_files(lesson, {name}).read(name)


def png_of(*chunks):
    parts = [struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
             for name, body in chunks]  # fmt: skip
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def test_a_picture_with_more_behind_its_rows_is_not_taken_for_plain():
    head = (b"IHDR", struct.pack(">II", 2, 1) + b"\x08\x02\x00\x00\x00")
    for rows, plain in ((bytes(7), True), (bytes(7) + b"somebody", False), (bytes(6), False)):
        assert holds_nothing_else(png_of(head, (b"IDAT", zlib.compress(rows)), (b"IEND", b""))) is plain
    more = zlib.compress(bytes(7)) + b"somebody"
    assert not holds_nothing_else(png_of(head, (b"IDAT", more), (b"IEND", b"")))
    assert not holds_nothing_else(png_of(head, (b"IDAT", zlib.compress(bytes(7))), (b"prIv", b"x"), (b"IEND", b"")))


@pytest.mark.parametrize("cut", [0, 1, 3, 10, 40, 100])
def test_pieces_of_pictures_are_not_plain_and_never_raise(still, cut):
    for plain in (as_png(still[:40, :40]), as_jpeg(still[:40, :40], most_bytes=900_000)):
        assert not holds_nothing_else(plain[:cut])
        assert not holds_nothing_else(plain[:-1])


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("stills/face_on.png", lambda still: b"no picture", "is damaged, or not a PNG"),
        ("stills/face_on.png", lambda still: as_jpeg(still, most_bytes=900_000), "is damaged, or not a PNG"),
        ("stills/face_on_plain.jpg", lambda still: as_png(still), "is damaged, or not a JPEG"),
        ("stills/face_on.png", lambda still: as_png(still)[:5000], "is damaged, or not a PNG"),
        ("stills/face_on.png", lambda still: as_png(still[:50, :50]), r"has 50 × 50 pixels, and the document says"),
        ("stills/face_on_plain.jpg", lambda still: saved(still[:50, :50], "JPEG"), "has 50 × 50 pixels"),
        ("stills/face_on.png", lambda still: saved(np.zeros((9000, 9000), np.uint8), "PNG"), "16,000,000 pixels is"),
        ("stills/ghost.png", lambda still: as_png(still[:, :7]), "and the document says"),
    ],
    ids=range(8),
)  # fmt: skip
def test_a_picture_that_is_not_what_it_says_is_refused(kept, still, name, data, says):
    bytes_ = data(still)
    lesson = evolve(kept, read=lambda asked: bytes_ if asked == name else kept.read(asked))
    assert re.search(says, refusal(lesson, name))


def test_a_still_that_was_made_smaller_to_fit_is_taken(kept, still):
    half = as_jpeg(still[::2, ::2], most_bytes=900_000)
    lesson = put(kept, stills__face_on_plain_dot_jpg=half)
    assert check_files(lesson, {"stills/face_on_plain.jpg"}).read("stills/face_on_plain.jpg") == half


def test_a_picture_that_the_document_does_not_know_is_refused(kept):
    document = json.loads(kept.read("measures.json"))
    document["pictures"]["ghost"] = None
    lesson = put(kept, measures_dot_json=json.dumps(document).encode())
    assert "that the document does not mention" in refusal(lesson, "stills/ghost.png")


# --- pages and charts

PAGES = ("report.html", "spec_sheet.html")
CHARTS = ("stills/curves.svg", "stills/arc.svg")


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize(
    ("put_in", "before"),
    [
        ("<script>alert(1)</script>", "</main>"),
        ("<script>alert(1)</script>", "<meta"),
        ('<img src="http://example.com/seen.png" alt="">', "</main>"),
        ('<img src="x" onerror="alert(1)" alt="">', "</main>"),
        ('<p onclick="alert(1)">press</p>', "</main>"),
        ('<a href="https://example.com">more</a>', "</main>"),
        ('<a href="javascript:alert(1)">more</a>', "</main>"),
        ('<iframe src="data:text/html,x"></iframe>', "</main>"),
        ('<meta http-equiv="refresh" content="0;url=https://example.com">', "<title>"),
        ('<link rel="stylesheet" href="https://example.com/a.css">', "<title>"),
        ("<base href='https://example.com'>", "<title>"),
        ("<!-- somebody -->", "</main>"),
        ("<svg><script>alert(1)</script></svg>", "</main>"),
        ("<form action='https://example.com'><input></form>", "</main>"),
        ("body { background: url(https://example.com/a.png) }", "</style>"),
        ("@import 'https://example.com/a.css';", "</style>"),
        ("p { width: exp\\72 ession(alert(1)) }", "</style>"),
        ("<", "</main>"),
        ("<p", "</main>"),
        ("<p class=a>", "</main>"),
        ('<p class="a" class="b">', "</main>"),
        ('<IMG SRC="data:image/png;base64,AAAA">', "</main>"),
        ('<img src="data:image/png;base64,AAAA" alt="">', "</main>"),
        ('<img src="data:image/jpeg;base64,AAAA" alt="">', "</main>"),
        ("<object data='x'></object>", "</main>"),
        ("<![CDATA[x]]>", "</main>"),
        ("<?xml-stylesheet href='https://example.com'?>", "</main>"),
    ],
)  # fmt: skip
def test_a_page_with_something_else_in_it_is_refused(kept, name, put_in, before):
    page = kept.read(name).decode()
    assert before in page
    spoilt = page.replace(before, put_in + before, 1).encode()
    lesson = evolve(kept, read=lambda asked: spoilt if asked == name else kept.read(asked))
    refusal(lesson, name)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda page: page.replace("default-src 'none'", "default-src *"),
        lambda page: re.sub("<meta http-equiv[^>]*>", "", page),
        lambda page: page.replace("<!doctype html>", "<!doctype html SYSTEM 'x'>"),
        lambda page: "<p>first</p>" + page,
        lambda page: "",
        lambda page: "\ufeff" + page,
    ],
    ids=["open policy", "no policy", "doctype", "something first", "empty", "mark"],
)
def test_a_page_without_its_own_head_is_refused(kept, spoil):
    page = spoil(kept.read("report.html").decode()).encode()
    refusal(put(kept, report_dot_html=page), "report.html")


def test_a_name_with_signs_in_it_is_shown_and_not_read(tmp_path):
    """What somebody is called never makes a tag, so it never makes the page refused."""
    from changed_lesson import make_changed_lesson

    from putt_posture.pages import store_lesson

    lesson = make_changed_lesson()
    named = evolve(lesson, student=evolve(lesson.student, name='</title><script>"O\'Neil" & <b>'))
    folder = store_lesson(named, tmp_path / "report")
    stored = read_result_folder(folder)
    assert check_files(stored, stored.names).read("report.html") == (folder / "report.html").read_bytes()


@pytest.mark.parametrize(
    "stranger",
    [lambda still: np.zeros_like(still), lambda still: still[::-1], lambda still: still[:, :300]],
    ids=["black", "upside down", "part"],
)
def test_a_page_that_shows_another_picture_is_refused(kept, still, stranger):
    uri = "data:image/jpeg;base64," + base64.b64encode(as_jpeg(stranger(still), most_bytes=400_000)).decode()
    page = re.sub(r"data:image/jpeg;base64,[A-Za-z0-9+/=]*", uri, kept.read("report.html").decode(), count=1)
    assert "holds a picture that is not among its stills" in refusal(
        put(kept, report_dot_html=page.encode()), "report.html"
    )


def test_a_page_whose_picture_carries_more_is_refused(kept, still):
    carrying = saved(still, "JPEG", comment=b"somebody", quality=88)
    uri = "data:image/jpeg;base64," + base64.b64encode(carrying).decode()
    page = re.sub(r"data:image/jpeg;base64,[A-Za-z0-9+/=]*", uri, kept.read("report.html").decode(), count=1)
    assert "holds a picture that is not among its stills" in refusal(
        put(kept, report_dot_html=page.encode()), "report.html"
    )


STRANGE_IN_CHARTS = [
    ("<script>alert(1)</script>", "</svg>"),
    ('<image xlink:href="data:image/png;base64,AAAA"/>', "</svg>"),
    ('<use xlink:href="https://example.com/a.svg#b"/>', "</svg>"),
    ('<g onload="alert(1)"></g>', "</svg>"),
    ("<foreignObject></foreignObject>", "</svg>"),
    ('<path style="fill: url(https://example.com/a)"/>', "</svg>"),
    ('<path clip-path="url(https://example.com/a)"/>', "</svg>"),
    ('<a xlink:href="https://example.com"></a>', "</svg>"),
    ("<!ENTITY a 'b'>", "</svg>"),
    ("<set attributeName='x'/>", "</svg>"),
    ("<!-- a > b -->", "</svg>"),
    ("@import url(x);", "</style>"),
    ("<?xml-stylesheet href='x'?>", "<svg"),
]
"""What is put into a chart, and before what."""


@pytest.mark.parametrize("name", CHARTS)
@pytest.mark.parametrize(("put_in", "before"), STRANGE_IN_CHARTS)
def test_a_chart_with_something_else_in_it_is_refused(kept, name, put_in, before):
    spoilt = kept.read(name).decode().replace(before, put_in + before, 1).encode()
    lesson = evolve(kept, read=lambda asked: spoilt if asked == name else kept.read(asked))
    refusal(lesson, name)


@pytest.mark.parametrize(("put_in", "before"), STRANGE_IN_CHARTS)
def test_a_page_with_such_a_chart_is_refused(kept, put_in, before):
    spoilt = kept.read(CHARTS[0]).decode().replace(before, put_in + before, 1).encode()
    inside = base64.b64encode(spoilt).decode()
    page = re.sub(r"(data:image/svg\+xml;base64,)[A-Za-z0-9+/=]*", rf"\g<1>{inside}",
                  kept.read("report.html").decode(), count=1)  # fmt: skip
    assert "A chart in report.html" in refusal(put(kept, report_dot_html=page.encode()), "report.html")


def test_text_in_another_code_is_one_sentence(kept):
    for name in (*PAGES, *CHARTS):
        odd = kept.read(name) + b"\xff"
        lesson = evolve(kept, read=lambda asked, name=name, odd=odd: odd if asked == name else kept.read(asked))
        assert "is not text in UTF-8" in refusal(lesson, name)


# --- PDFs


SCRIPT = DictionaryObject(
    {NameObject("/S"): NameObject("/JavaScript"), NameObject("/JS"): TextStringObject("app.alert(1)")}
)


def rewritten(data, change):
    """The PDF read by a library, changed, and written anew."""
    writer = pypdf.PdfWriter(clone_from=pypdf.PdfReader(io.BytesIO(data)))
    change(writer)
    stream = io.BytesIO()
    writer.write(stream)
    return stream.getvalue()


@pytest.mark.parametrize("name", ["report.pdf", "spec_sheet.pdf"])
@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda pdf: pdf.root_object.update({NameObject("/OpenAction"): SCRIPT}), "/OpenAction"),
        (lambda pdf: pdf.pages[0].update({NameObject("/AA"): SCRIPT}), "/AA"),
        (lambda pdf: pdf._add_object(SCRIPT), "/JS"),
        (lambda pdf: pdf.add_attachment("portrait.jpg", b"somebody"), "/"),
        (lambda pdf: pdf.add_annotation(0, Link(rect=(0, 0, 9, 9), url="https://example.com")), "/"),
        (lambda pdf: pdf.encrypt("a"), "/Encrypt"),
    ],
    ids=["script at opening", "script of a page", "script that nothing names", "attachment", "link", "locked"],
)
def test_a_pdf_that_acts_or_carries_is_refused(kept, name, change, says):
    data = rewritten(kept.read(name), change)
    lesson = evolve(kept, read=lambda asked: data if asked == name else kept.read(asked))
    said = refusal(lesson, name)
    assert "is not as this program writes it" in said
    assert says in said


def test_a_pdf_that_shows_another_picture_is_refused(kept, still):
    def draw(pdf):
        pdf.pages[0].images[0].replace(Image.fromarray(still[::-1].copy()))

    assert "holds a picture that is not among its stills" in refusal(
        put(kept, report_dot_pdf=rewritten(kept.read("report.pdf"), draw)), "report.pdf"
    )


@pytest.mark.parametrize(
    "spoil",
    [
        lambda pdf: b"",
        lambda pdf: b"%PDF-1.7\nstartxref\n9\n%%EOF",
        lambda pdf: pdf[:-9],
        lambda pdf: pdf[: len(pdf) // 2],
        lambda pdf: b"<script>alert(1)</script>" + pdf,
        lambda pdf: pdf + b"\nsomebody",
        lambda pdf: pdf + pdf,
    ],
    ids=range(7),
)
def test_a_pdf_that_is_not_one_whole_pdf_is_refused(kept, spoil):
    refusal(put(kept, report_dot_pdf=spoil(kept.read("report.pdf"))), "report.pdf")


# --- the spec, and sizes


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"bending": 3}, "at bending"),
        ({"stock_length_in": float("nan")}, "stock_length_in is no finite number"),
        ({"notes": ["\ud800"]}, "notes/0 holds half a character"),
        ({"portrait": "x"}, "spec_sheet.json"),
    ],
)
def test_a_spoilt_spec_is_one_sentence(kept, change, says):
    spec = json.loads(kept.read("spec_sheet.json")) | change
    assert says in refusal(put(kept, spec_sheet_dot_json=json.dumps(spec).encode()), "spec_sheet.json")


def test_a_spec_of_another_lesson_is_refused(kept):
    spec = json.loads(kept.read("spec_sheet.json"))
    spec["length"]["value"] += 1
    assert "its length is not that of measures.json" in refusal(
        put(kept, spec_sheet_dot_json=json.dumps(spec).encode()), "spec_sheet.json"
    )


@pytest.mark.parametrize("name", ["report.html", "measures.json", "stills/arc.svg", "stills/face_on.png"])
def test_a_huge_file_is_refused_by_its_size(kept, whole, name, tmp_path):
    huge = kept.read(name) + b" " * 50_000_000
    lesson = evolve(kept, read=lambda asked: huge if asked == name else kept.read(asked))
    assert re.search(r"has [0-9,]+ bytes, and at most [0-9,]+ are taken", refusal(lesson, name))

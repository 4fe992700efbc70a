"""What a stored page shows is given out for another page to hold, and only if this program wrote it."""

import pytest

from putt_posture.errors import UsageError
from putt_posture.records.html_files import read_body


def test_the_body_of_a_report_is_all_of_it_and_no_more(whole) -> None:
    page = (whole / "report.html").read_bytes()
    body = read_body(page, name="report.html", where="it")
    assert body.strip().startswith("<header>")
    assert body.strip().endswith("</details>")
    assert "<style" not in body
    assert "<meta" not in body
    assert page.decode("utf-8").count("<img") == body.count("<img") > 2


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ("</main>", "<script>alert(1)</script></main>"),
        ("<header>", '<header onclick="alert(1)">'),
        ("data:image/jpeg", "http://elsewhere.example/x"),
        ("<main>", ""),
        ("</main>", "</main><iframe>"),
    ],
)
def test_a_page_that_holds_anything_else_is_refused(whole, was, now) -> None:
    page = (whole / "report.html").read_text(encoding="utf-8").replace(was, now)
    with pytest.raises(UsageError, match=r"report\.html of it is not as this program writes it"):
        read_body(page.encode("utf-8"), name="report.html", where="it")


def test_a_page_that_is_no_text_is_refused(whole) -> None:
    page = (whole / "report.html").read_bytes().replace(b"<main>", b"<main>\xff")
    with pytest.raises(UsageError, match="not as this program writes it"):
        read_body(page, name="report.html", where="it")

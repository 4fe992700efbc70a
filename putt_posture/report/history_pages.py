"""The page of a history as one HTML file and as A4."""

from collections.abc import Mapping
from datetime import date

import attrs

from putt_posture.report.colours import PART_COLOURS
from putt_posture.report.history_content import HistoryPage
from putt_posture.report.page import as_uri, render_page
from putt_posture.report.typeset import typeset

__all__ = ["history_as_html", "history_as_pdf"]


def history_as_html(page: HistoryPage, *, charts: Mapping[str, str]) -> str:
    """Return the text of `history.html`; `charts` are SVG by the name of their plate."""
    pictures = {name: as_uri(svg.encode("utf-8")) for name, svg in charts.items()}
    return render_page("history.html.jinja", page=page, pictures=pictures)


def history_as_pdf(page: HistoryPage, *, charts: Mapping[str, str], made_on: date | None = None) -> bytes:
    """Return the bytes of `history.pdf`, stamped with the day of creation where it is given."""
    return typeset(
        "history.typ",
        {"page": attrs.asdict(page), "colours": dict(PART_COLOURS)},
        pictures={f"{name}.svg": svg.encode("utf-8") for name, svg in charts.items()},
        made_on=made_on,
    )

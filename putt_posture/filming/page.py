"""The page on how to film, as Markdown and as one HTML file with the drawing inside."""

import re
from html import escape
from pathlib import Path
from typing import Final

from putt_posture.disk.folders import fresh_file
from putt_posture.errors import OutputError

__all__ = ["DRAWING", "load_page", "store_page"]

_HERE: Final = Path(__file__).parent
DRAWING: Final = _HERE / "filming.svg"
"""The drawing: where the phone stands and what the picture must hold."""

_PICTURE: Final = re.compile(r"^!\[(?P<says>[^\]]*)\]\(filming\.svg\)$", re.M)


def load_page() -> str:
    """Load the page as Markdown, without its picture.

    Returns
    -------
    str
    """
    return re.sub(r"\n{3,}", "\n\n", _PICTURE.sub("", _read()))


def store_page(path: Path) -> None:
    """Store the page as one HTML file with the drawing inside.

    Parameters
    ----------
    path : Path
        The file to write; an existing file is kept.

    Raises
    ------
    OutputError
        If the file exists already, or cannot be written.
    """
    from markdown_it import MarkdownIt

    from putt_posture.pages.setting import render_page

    before, says, after = _PICTURE.split(_read())
    drawing = DRAWING.read_text(encoding="utf-8").replace("<svg ", f'<svg role="img" aria-label="{escape(says)}" ', 1)
    markdown = MarkdownIt()
    body = markdown.render(before) + drawing + markdown.render(after)
    if path.exists():
        raise OutputError(f"{path} is there already. Give another name, or delete it first.")
    with fresh_file(path, what="page") as stream:
        stream.write(render_page("filming.html.jinja", body=body).encode("utf-8"))


def _read() -> str:
    return (_HERE / "page.md").read_text(encoding="utf-8")

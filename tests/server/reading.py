"""What a person reads on a page, and what stands beside a field."""

import html
import re


def text_of(answer) -> str:
    """Return the text of a page."""
    shown = re.sub(r"<(script|style).*?</\1>", " ", answer.text, flags=re.DOTALL)
    return html.unescape(" ".join(re.sub(r"<[^>]+>", " ", shown).split()))


def error_of(answer, name: str) -> str:
    """Return the sentence beside a field; empty where there is none."""
    found = re.search(rf'<p class="error" id="{re.escape(name)}-error"[^>]*>(.*?)</p>', answer.text, re.DOTALL)
    return html.unescape(found[1].strip()) if found else ""


def errors_of(answer) -> dict[str, str]:
    """Return all sentences beside fields by the names of these."""
    return {name: error_of(answer, name) for name in re.findall(r'<p class="error" id="([a-z_]+)-error"', answer.text)}


def typed_in(answer, name: str) -> str:
    """Return what stands in a field."""
    found = re.search(rf'<input id="{re.escape(name)}"[^>]*? value="([^"]*)"', answer.text)
    return html.unescape(found[1]) if found else ""

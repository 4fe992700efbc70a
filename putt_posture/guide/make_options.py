"""Make the page of options from the help of the commands: ``python -m putt_posture.guide.make_options``."""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

import click

from putt_posture.cli.program import program

__all__ = ["PAGE", "write_options"]

PAGE: Final = Path(__file__).with_name("options.md")
_HEAD: Final = """# Every command and its options

This page is made from the help of the commands: `python -m putt_posture.guide.make_options` makes
it again. Lengths carry their unit: `178cm`, `1.78m`, `70in`, `5ft10in`, `5'10"`. In the options of
one clip, write the view before the value where there are two clips: `--setup-at face-on:4.2`.
"""


def write_options() -> str:
    """Return the text of the page, as Markdown."""
    return "\n".join([_HEAD, *_write_group(program, "putt-posture")])


def _write_group(group: click.Group, path: str) -> Iterator[str]:
    for name, command in group.commands.items():
        if isinstance(command, click.Group):
            yield from _write_group(command, f"{path} {name}")
        else:
            yield from _write_command(command, f"{path} {name}")


def _write_command(command: click.Command, path: str) -> Iterator[str]:
    context = click.Context(command)
    parts = [each.make_metavar(context) for each in command.params if isinstance(each, click.Argument)]
    yield f"## `{' '.join([path, *parts])}`\n\n{command.get_short_help_str(limit=200)}\n"
    records = [each.get_help_record(context) for each in command.params if isinstance(each, click.Option)]
    if records:
        yield "| option | what it is for |\n|---|---|"
        yield from (f"| `{names}` | {says} |" for names, says in _escaped(records))
        yield ""


def _escaped(records: list[tuple[str, str] | None]) -> Iterator[tuple[str, str]]:
    for record in records:
        if record is not None:
            names, says = (each.replace("|", "\\|") for each in record)
            yield names, says


if __name__ == "__main__":
    PAGE.write_text(write_options(), encoding="utf-8", newline="\n")

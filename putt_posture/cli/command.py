"""A command that names everything that is missing from a call in one sentence, instead of one thing after the other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, Final

import click

__all__ = ["Command", "command"]


class Command(click.Command):
    """A command of this program.

    Parameters
    ----------
    needs_one_of : sequence of str
        Names of options of which at least one is needed; the command itself says so where nothing else is missing.
    """

    def __init__(self, *arguments: Any, needs_one_of: Sequence[str] = (), **more: Any) -> None:
        super().__init__(*arguments, **more)
        self._needs_one_of = needs_one_of

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read what was typed, as click does, and name all that is missing."""
        typed = list(args)
        try:
            return super().parse_args(ctx, args)
        except click.MissingParameter:
            missing = self._find_missing(ctx, typed)
            if len(missing) == 1:
                raise
            raise click.UsageError(f"Missing: {', '.join(missing[:-1])} and {missing[-1]}.", ctx=ctx) from None

    def _find_missing(self, ctx: click.Context, typed: list[str]) -> list[str]:
        given, _, _ = self.make_parser(ctx).parse_args(args=typed)

        def is_missing(parameter: click.Parameter) -> bool:
            return parameter.value_is_missing(parameter.consume_value(ctx, given)[0])

        parameters = {parameter.opts[0]: parameter for parameter in self.get_params(ctx)}
        found = [_say(each, ctx) for each in parameters.values() if each.required and is_missing(each)]
        needed = [parameters[name] for name in self._needs_one_of]
        if needed and all(is_missing(each) for each in needed):
            found.insert(0, " or ".join(_say(each, ctx) for each in needed))
        return found


command: Final[Callable[..., Callable[[Callable[..., Any]], Command]]] = partial(click.command, cls=Command)
"""`click.command`, for the commands of this program."""


def _say(parameter: click.Parameter, ctx: click.Context) -> str:
    """Write a parameter as it is typed: ``--height LENGTH``."""
    metavar = parameter.make_metavar(ctx)
    return f"{parameter.opts[0]} {metavar}" if isinstance(parameter, click.Option) else metavar

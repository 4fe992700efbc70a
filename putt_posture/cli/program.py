"""The command; every error becomes one sentence on standard error and an exit code.

Only click is imported here; each command imports the rest when it runs, so that the help is fast.
"""

import os
import sys
import traceback
import warnings
from collections.abc import Sequence
from contextlib import suppress
from typing import Any, Final, NoReturn

import click

from putt_posture.cli.archive import archive
from putt_posture.cli.batch import batch
from putt_posture.cli.coach_file import coach_file
from putt_posture.cli.compare import compare
from putt_posture.cli.demo import demo
from putt_posture.cli.doctor import doctor, filming
from putt_posture.cli.fit import fit
from putt_posture.cli.lesson_page import lesson
from putt_posture.cli.measure import measure
from putt_posture.cli.steps import steps
from putt_posture.cli.stopping import (
    FAULT,
    TRACEBACK_VARIABLE,
    USAGE_FAULT,
    end_on_signals,
    is_stopped,
    shows_tracebacks,
    stopped_code,
)
from putt_posture.cli.terminal import door_to_terminal
from putt_posture.cli.watch import watch
from putt_posture.errors import PuttPostureError, UsageError

__all__ = ["main", "program", "run"]

NAME: Final = "putt-posture"
_BY_CLICK: Final = ("coach", "coach_file", "handed", "hide_faces", "language", "paper", "units")
"""The defaults that are those of an option."""
_WITHOUT_DEFAULTS: Final = ("demo", "doctor", "filming")
"""They work, and the doctor says what is wrong, where the defaults cannot be read."""


class _Program(click.Group):
    """The whole command. It notes whether help is asked for, which works even if the defaults cannot be read."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read what was typed, as click does."""
        ctx.obj = bool({"-h", "--help"} & set(args))
        return super().parse_args(ctx, args)


@click.group(
    cls=_Program,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Start with: putt-posture demo. Then read: putt-posture filming.",
)
@click.version_option(package_name="putt_posture", prog_name=NAME, message="%(prog)s %(version)s")
@click.pass_context
def program(context: click.Context) -> None:
    """Measure a golfer's putting posture from phone clips.

    One clip down the line, one face on, and the student's height are enough for annotated stills, the measures with
    their uncertainties, and a putter length suggestion. Nothing leaves this computer.
    """
    if context.invoked_subcommand not in _WITHOUT_DEFAULTS and not context.obj:
        context.default_map = _defaults_by_command()


program.add_command(lesson)
program.add_command(measure)
program.add_command(fit)
program.add_command(compare)
program.add_command(steps)
program.add_command(coach_file)
program.add_command(archive)
program.add_command(batch)
program.add_command(watch)
program.add_command(demo)
program.add_command(doctor)
program.add_command(filming)


def _defaults_by_command() -> dict[str, Any]:
    """Return the coach's defaults as click wants them: by command and parameter, for those that have the parameter.

    What is known of a student already is put right by `archive describe`, which takes no default but the units. Where
    the archive is, the library finds by itself.
    """
    from putt_posture.disk.defaults import read_defaults

    found = {name: value for name, value in read_defaults().items() if name in _BY_CLICK}
    if not found:
        return {}

    def of(group: click.Group) -> dict[str, Any]:
        return {
            name: of(each)
            if isinstance(each, click.Group)
            else {
                option.name: found[option.name]
                for option in each.params
                if option.name in found and (name != "describe" or option.name == "units")
            }
            for name, each in group.commands.items()
        }

    return of(program)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit code.

    Parameters
    ----------
    arguments : sequence of str, optional
        What follows the name of the program; by default what the process was started with.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices are small, and threads would wait for each other
    if not sys.warnoptions:
        warnings.simplefilter("ignore")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    with door_to_terminal():
        return _run(arguments)


def run() -> NoReturn:
    """Run the command as a process of its own."""
    end_on_signals()
    try:
        code = main()
    except SystemExit as error:  # click's, where a reader is gone
        code = error.code if isinstance(error.code, int) else FAULT
    if code and is_stopped():  # also where the terminal is gone and nothing could be printed
        code = stopped_code()
    if code == stopped_code():
        # All is undone by now; what the landmark model's threads would still do and say at the exit is not wanted.
        for stream in (sys.stdout, sys.stderr):
            with suppress(OSError):  # the terminal may be gone
                stream.flush()
        os._exit(code)
    sys.exit(code)


def _run(arguments: Sequence[str] | None) -> int:
    """Run the command and turn every error into a sentence and an exit code."""
    try:
        code = program.main(args=arguments, prog_name=NAME, standalone_mode=False)
        sys.stdout.flush()
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message(), err=True)
        return USAGE_FAULT
    except click.UsageError as error:
        command = error.ctx.command_path if error.ctx else NAME
        said = error.format_message()
        return _fail(f"{said}{'' if said.endswith(('.', '?')) else '.'} See: {command} --help", code=USAGE_FAULT)
    except click.ClickException as error:
        return _fail(error.format_message(), code=error.exit_code)
    except (click.Abort, KeyboardInterrupt):
        return _fail("Stopped. Nothing was written.", code=stopped_code())
    except UsageError as error:
        return _fail(str(error), code=USAGE_FAULT)
    except PuttPostureError as error:
        return _fail(str(error), code=FAULT)
    except BrokenPipeError:
        return _leave_pipe()
    except ImportError as error:
        return _fail(
            f"A part of the program cannot be loaded ({error}). Run {NAME} doctor to see what to do.", code=FAULT
        )
    except MemoryError:
        return _fail("There was not enough memory. Close other programs, or give smaller clips.", code=FAULT)
    except OSError as error:
        where = f" ({error.filename})" if error.filename else ""
        return _fail(f"The computer refused: {error.strerror or error}{where}.", code=FAULT)
    except Exception as error:
        return _fail(
            f"Something went wrong inside the program ({type(error).__name__}: {error}). "
            f"Set {TRACEBACK_VARIABLE}=1 and run it again to see where.",
            code=FAULT,
        )
    return code if isinstance(code, int) else 0


def _fail(message: str, *, code: int) -> int:
    with suppress(OSError):  # the terminal may be gone
        if shows_tracebacks():
            click.echo(traceback.format_exc(), err=True)
        click.echo(f"{NAME}: {' '.join(message.split())}", err=True)
    return code


def _leave_pipe() -> int:
    """Point standard output at nothing, so that the interpreter's last flush stays quiet."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, sys.stdout.fileno())
    os.close(nothing)
    return FAULT

"""The command line: each command reads, calls one function, prints.

Commands live one module a group and are imported only when called, so that each starts as fast as it can.
Exit codes: 0 solved; 1 solved, and at least one engine is blocked; 2 the input or the call is wrong; 130 ended by
Ctrl-C; 70 a fault of the program itself (`exit_codes`).
"""

from __future__ import annotations

import atexit
import gc
import importlib
import io
import os
import sys

import click

from stackopt.cli.exit_codes import INPUT_IS_WRONG, INTERRUPTED, OWN_FAULT
from stackopt.cli.helping import HelpfulGroup
from stackopt.problems import InputError

# Command name -> module and the click command in it; the order is the order of `stackopt --help`.
COMMANDS: dict[str, tuple[str, str]] = {
    "fit": ("stackopt.cli.answers.fit", "fit"),
    "plan": ("stackopt.cli.answers.plan", "plan"),
    "restock": ("stackopt.cli.answers.restock", "restock"),
    "range": ("stackopt.cli.answers.range", "range_command"),
    "check": ("stackopt.cli.books", "check"),
    "template": ("stackopt.cli.books", "template"),
    "shop": ("stackopt.cli.shop_commands.group", "shop"),
    "guide": ("stackopt.cli.guide", "guide"),
    "serve": ("stackopt.cli.serve", "serve"),
    "card": ("stackopt.cli.card", "card"),
}

# What a command reads stays until it ends: looking for garbage among a million cells again and again finds none, and
# looking once more at the end, when all is given back anyway, takes as long as reading a large price list.
NEW_BEFORE_COLLECTING = 1_000_000
CLICK_HANDLES = (click.ClickException, click.Abort, click.exceptions.Exit, BrokenPipeError)
FAULT = (
    "stackopt met a fault of its own, not of your input: {fault}\n"
    "Please report it with the call and the files that set it off to whoever looks after stackopt for you "
    "(DEVELOPERS.md, When something breaks). STACKOPT_TRACEBACK=1 shows where it happened."
)


class Commands(HelpfulGroup):
    """Imports the module of a command only when that command is asked for, and prints what is wrong in the input."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of all commands."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return one command; None when there is none of that name."""
        if cmd_name not in COMMANDS:
            return None
        module, attribute = COMMANDS[cmd_name]
        command: click.Command = getattr(importlib.import_module(module), attribute)
        return command

    def invoke(self, ctx: click.Context) -> object:
        """Run the command; what is wrong or in question in the input is printed, one a line, and ends with exit code 2.

        A fault of the program itself is told in a sentence and ends with 70: nobody at a bench can read a traceback.
        """
        try:
            return super().invoke(ctx)
        except InputError as error:
            for problem in error.problems:
                click.echo(str(problem), err=True)
            for question in error.questions:
                click.echo(f"Question: {question}", err=True)
            raise SystemExit(INPUT_IS_WRONG) from None
        except KeyboardInterrupt:
            click.echo("Ended by Ctrl-C.", err=True)
            raise SystemExit(INTERRUPTED) from None
        except CLICK_HANDLES:
            raise
        except Exception as fault:  # the outermost edge: a fault can only be told here, and told it is
            if os.environ.get("STACKOPT_TRACEBACK"):
                raise
            click.echo(FAULT.format(fault=f"{type(fault).__name__}: {fault}"), err=True)
            raise SystemExit(OWN_FAULT) from None


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="stackopt")
def main() -> None:
    """Choose base and head gaskets for twin-cylinder engines from the shelf and the suppliers' lists."""
    gc.set_threshold(NEW_BEFORE_COLLECTING)
    # Matrices here are small; for larger ones NumPy would start threads, which wait busily while books are read.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    atexit.register(gc.freeze)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A part number in letters that the terminal cannot show is no reason to show nothing.
            stream.reconfigure(errors="replace")

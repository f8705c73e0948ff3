"""The command `tapeline`: a thin shell that names files, prints what was found, and sets the exit code.

    tapeline check STYLE                          is the style in order, and do its worked examples come out
    tapeline draft STYLE --for BODY -o FOLDER     the pattern of one body, on any of its papers and as data
    tapeline draft STYLE --sizes TABLE -o FOLDER  the same in every size of a table, with nest, grading and grade rules
    tapeline draft ORDER                          an order: the same, on papers called by style, client and date
    tapeline order STYLE --for CLIENT             an order, written into a file
    tapeline orders [FOLDER]                      what has become of the orders in a folder, and what must be cut again
    tapeline lock STYLE --sizes TABLE -o FILE     a style's drafts over its sizes, recorded to compare with later
    tapeline compare [FILE or FOLDER]             what has moved since: places, edges, seams, and the rule that did it
    tapeline probe STYLE                          which bodies a style cannot take, and what is proved of it
    tapeline batch STYLE [BODIES] -o RESULTS       every row of a size table drafted, one result a line
    tapeline picture PDF --page N -o FOLDER       a page of a PDF as a picture, to send
    tapeline open STYLE                           the page on which a style is written, and its drawing followed
    tapeline begin NAME                           a small style, a card and a house file, to begin with
    tapeline tidy FILE...                         texts put into the one layout, their meaning proved the same
    tapeline lsp                                  the language server, for an editor that speaks the protocol
    tapeline why STYLE --for BODY PLACE           why a place of a draft lies where it lies: rules, sums, and what moves it
    tapeline explain CODE                         what the code of a diagnostic means, with an example mended

Exit codes: 0 in order (cautions allowed); 1 the style, the card, the house or the draft has errors; 2 the command was
not written as it should be; 3 a file cannot be read or written; 70 a fault of the program itself; 130 stopped by Ctrl-C.
Results go to standard output, diagnostics to standard error; with `--json` all goes to standard output as one object.
Libraries that only one command needs are imported when that command runs.
"""

from __future__ import annotations

import atexit
import gc
import sys
from importlib import import_module
from typing import Any

import click

from ..source import former
from .report import EXIT_CODES, FAULT, FILES, STOPPED

COMMANDS = (
    "check",
    "draft",
    "order",
    "orders",
    "lock",
    "compare",
    "probe",
    "batch",
    "picture",
    "why",
    "explain",
    "rename",
    "tidy",
    "begin",
    "lsp",
    "open",
)  # a module each


class _Commands(click.Group):
    """Commands that are loaded when they are called."""

    def list_commands(self, context: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, context: click.Context, name: str) -> click.Command | None:
        return getattr(import_module(f".commands.{name}", __package__), name) if name in COMMANDS else None

    def resolve_command(self, context: click.Context, args: list[str]) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] in former.COMMANDS:
            raise click.UsageError(f'"tapeline {args[0]}" is now called "tapeline {former.COMMANDS[args[0]]}".', context)
        return super().resolve_command(context, args)

    def invoke(self, context: click.Context) -> Any:
        try:
            return super().invoke(context)
        except click.NoSuchOption as problem:
            if problem.option_name in former.OPTIONS:
                message = f'"{problem.option_name}" is now called "{former.OPTIONS[problem.option_name]}".'
                raise click.UsageError(message, problem.ctx) from None
            raise
        except KeyboardInterrupt:
            click.echo("\nStopped.", err=True)
            context.exit(STOPPED)


@click.group(cls=_Commands, epilog=EXIT_CODES, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="tapeline", prog_name="tapeline")
def program() -> None:
    """Pattern pieces from the drafting rules of a garment and the measurements of a body."""


def main() -> None:
    """Run the command; whatever goes wrong in it ends in a sentence."""
    gc.set_threshold(50_000)  # a start makes many things that stay, and looking through them for what does not takes longer
    atexit.register(gc.freeze)  # nor is there anything to look for at the end
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        program.main(prog_name="tapeline")
    except OSError as problem:  # a file in a folder that may not be entered, a full disk behind standard output
        where = f"{problem.filename}: " if problem.filename else ""
        click.echo(f"tapeline: a file cannot be read or written ({where}{(problem.strerror or str(problem)).lower()}).", err=True)
        sys.exit(FILES)
    except Exception as problem:  # the last resort: no user is shown a traceback
        message = " ".join(str(problem).split())[:200]
        kind = type(problem).__name__
        click.echo(
            f"tapeline: a fault of the program itself ({kind}{': ' + message if message else ''}); "
            "please report it with the style and the card.",
            err=True,
        )
        sys.exit(FAULT)


if __name__ == "__main__":
    main()

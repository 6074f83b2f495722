"""The command ``tracegraph``: one line for every mistake, and status 2."""

from __future__ import annotations

import sys

import typer

from tracegraph.cli import app as app_command
from tracegraph.cli import (
    audit,
    build_months,
    case,
    check,
    compare,
    conditions,
    contain,
    demo,
    history,
    hold,
    join,
    load,
    make_builds,
    publish,
    rank,
    records,
    suspect,
    trace,
)
from tracegraph.domain.errors import TraceGraphError

cli = typer.Typer(
    name="tracegraph",
    help="From warranty claims back to what the affected hulls share.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
for module in (
    demo,
    load,
    join,
    check,
    records,
    rank,
    suspect,
    build_months,
    conditions,
    trace,
    history,
    compare,
    contain,
    hold,
    case,
    audit,
    make_builds,
    publish,
    app_command,
):
    module.add_to(cli)


def main() -> None:
    """Run the command line; mistakes of input end as one line and status 2."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : list of str
        What followed the program's name.

    Returns
    -------
    int
        Exit status: 0 done, 2 wrong input, 130 stopped by the user.
    """
    try:
        result = cli(arguments, standalone_mode=False)
    except TraceGraphError as error:
        print(f"tracegraph: {_one_line(str(error))}", file=sys.stderr)
        return 2
    except typer.TyperException as error:
        print(f"tracegraph: {_one_line(str(error))}", file=sys.stderr)
        return 2
    except (typer.Abort, KeyboardInterrupt):
        print("tracegraph: stopped.", file=sys.stderr)
        return 130
    except BrokenPipeError:
        # The reader of our output has gone, as in "| head".
        sys.stderr.close()
        return 0
    return result if isinstance(result, int) else 0


def _one_line(text: str) -> str:
    return " ".join(text.split())

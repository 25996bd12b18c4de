"""The command line: reads arguments, calls the engine, prints. No arithmetic here, nothing heavy at import."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

FINE, MEND, BAD_INPUT = 0, 1, 2


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit code is 0 fine, 1 findings that must be mended, 2 bad input."""
    arguments = _parser().parse_args(argv)
    if arguments.command is None:
        _parser().print_help()
        return FINE
    from driploop.cli import commands
    from driploop.worksheet import DriploopError

    try:
        code: int = getattr(commands, arguments.command)(arguments)
    except DriploopError as error:
        print(error, file=sys.stderr)
        return BAD_INPUT
    except OSError as error:
        print(f"{error.filename}: {error.strerror}", file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        sys.stderr.close()
        return FINE
    return code


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="driploop",
        description="One survey of a tired electrical service in; loads, sizes, findings and a service packet out.",
        epilog="Exit codes: 0 fine, 1 findings that must be mended, 2 bad input.",
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")

    new = commands.add_parser("new", help="write a commented starter survey, laid out as a walk round the place")
    new.add_argument("job", help="file to write; an existing file is never overwritten")
    new.add_argument("--title", default="Service change", help="title on the cover")

    check = commands.add_parser("check", help="read a survey and list what must be mended, asked, or known")
    check.add_argument("job", help="job file (TOML)")
    _json(check)

    loads = commands.add_parser("loads", help="calculated load by every method, with worksheets")
    loads.add_argument("job", help="job file (TOML)")
    loads.add_argument("--at", metavar="ID", help="one enclosure only, with its worksheets")
    loads.add_argument("--worksheets", action="store_true", help="print every worksheet")
    _json(loads)

    packet = commands.add_parser("packet", help="make the service packet (PDF)")
    packet.add_argument("job", help="job file (TOML)")
    packet.add_argument("--out", metavar="PDF", help="file to write; left out: beside the job file")
    packet.add_argument("--drawings", metavar="FOLDER", help="also save every drawing as SVG in this folder")

    code = commands.add_parser("code", help="look up a value, table or section of the code editions")
    code.add_argument("words", nargs="*", help='plain words or a section: "dwelling service", 310.12')
    code.add_argument("--edition", help='one edition only, as "NEC 2020"')
    code.add_argument("--memory", action="store_true", help="list what still rests on memory or is carried over")
    _json(code)

    rules = commands.add_parser("rules", help="print the catalogue of rules")
    rules.add_argument("words", nargs="*", help="only rules that hold these words")
    rules.add_argument("--edition", help='sections of one edition only, as "NEC 2020"')
    _json(rules)

    commands.add_parser("schema", help="print the JSON Schema of the job file")

    migrate = commands.add_parser("migrate", help="bring a job file of an older format up to date, comments kept")
    migrate.add_argument("job", help="job file (TOML)")
    return parser


def _json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print JSON instead of tables")


if __name__ == "__main__":
    raise SystemExit(main())

"""The command line: reads arguments, calls the engine, prints. No arithmetic here, nothing heavy at import."""

from __future__ import annotations

import argparse
import gc
import io
import os
import shutil
import sys
import textwrap
from collections.abc import Sequence

FINE, MEND, BAD_INPUT = 0, 1, 2


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit code is 0 fine, 1 findings that must be mended, 2 bad input."""
    # One command, and the process ends: looking through all objects again and again frees next to nothing.
    gc.set_threshold(100_000, 50, 100)
    # Looking for plugins reads the metadata of every installed package, and none is wanted.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a terminal that lacks a character shows a stand-in for it
            stream.reconfigure(errors="replace")
    parser = _parser()
    arguments = parser.parse_args(argv)
    if arguments.command is None:
        parser.print_help()
        return FINE
    from driploop.cli import commands
    from driploop.worksheet import DriploopError

    try:
        code: int = getattr(commands, arguments.command)(arguments)
        sys.stdout.flush()
    except DriploopError as error:
        _say(str(error))
        return BAD_INPUT
    except BrokenPipeError:  # the reader went away; what was not said is not called fine
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        return MEND
    except OSError as error:
        _say(f"{error.filename or 'What was to be printed'}: cannot be read or written: {error.strerror}.")
        return BAD_INPUT
    except KeyboardInterrupt:
        _say("Stopped. No file is half written.")
        return BAD_INPUT
    return code


def _say(words: str) -> None:
    """Print to standard error; on a terminal, long lines are folded under the word they belong to."""
    if sys.stderr.isatty():
        width = shutil.get_terminal_size().columns
        words = "\n".join(_folded(line, width) for line in words.split("\n"))
    print(words, file=sys.stderr)


def _folded(line: str, width: int) -> str:
    hang = " " * (11 if line.startswith("  ") else 2)
    return textwrap.fill(line, width, subsequent_indent=hang, break_long_words=False, break_on_hyphens=False)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="driploop",
        description="One survey of a tired electrical service in; loads, sizes, findings and a service packet out.",
        epilog="Exit codes: 0 fine, 1 findings that must be mended, 2 bad input. "
        "More about a command: driploop COMMAND --help",
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands")

    new = _command(commands, "new", "write a commented starter survey, laid out as a walk round the place")
    new.add_argument("job", metavar="JOB", help="file to write, as my-job.toml; a file that is there is left alone")
    new.add_argument("--title", default="Service change", help="title on the cover")

    check = _command(commands, "check", "read a survey and list what must be mended, asked, or known")
    _job(check)
    _json(check)

    loads = _command(commands, "loads", "calculated load by every method, with worksheets")
    _job(loads)
    loads.add_argument("--at", metavar="ID", help="one enclosure or building only, with its worksheets")
    loads.add_argument("--worksheets", action="store_true", help="print every worksheet")
    _json(loads)

    circuits = _command(commands, "circuits", "what may protect the wire of each circuit, and the breaker to put in")
    _job(circuits)
    circuits.add_argument("--at", metavar="PANEL", help="the circuits of one enclosure only, by its id")
    circuits.add_argument("--worksheets", action="store_true", help="print every worksheet")
    _json(circuits)

    duties = _command(commands, "duties", "what the change awakens on every circuit: yes, no or ask the office")
    _job(duties)
    _json(duties)

    disconnects = _command(commands, "disconnects", "what becomes of each old switch, fuse box and pull-out")
    _job(disconnects)
    _json(disconnects)

    panel = _command(commands, "panel", "which circuit lands in which space, balance of the lines, directory")
    _job(panel)
    panel.add_argument("--at", metavar="PANEL", help="one panel only, by its id")
    _solver(panel)
    panel.add_argument("--worksheets", action="store_true", help="print every worksheet")
    _json(panel)

    faults = _command(commands, "faults", "fault current at every enclosure, what can interrupt it, what trips")
    _job(faults)
    _json(faults)

    voltages = _command(commands, "voltages", "voltage at every enclosure: load, working hours, motors, open neutral")
    _job(voltages)
    voltages.add_argument("--open-neutral", metavar="RUN", help="what happens when the neutral of this run opens")
    voltages.add_argument(
        "--hours", metavar="ID", help="what runs meanwhile: a working hour of the job; else the worst moment"
    )
    voltages.add_argument("--limit", metavar="PERCENT", type=float, help="wires that keep each run under this loss")
    voltages.add_argument(
        "--electrode", metavar="ID=OHM", action="append", default=[],
        help="neutral to earth where animals stand with this resistance of an electrode; may be given again",
    )  # fmt: skip
    _json(voltages)

    earth = _command(commands, "earth", "resistance of the electrodes in their soil, as a band, with worksheets")
    _job(earth)
    _json(earth)

    drop = _command(commands, "drop", "sag, clearances, pull and mast of every overhead run, with worksheets")
    _job(drop)
    _json(drop)

    packet = _command(commands, "packet", "make the service packet (PDF)")
    _job(packet)
    packet.add_argument("--out", metavar="PDF", help="file to write; left out: beside the job file")
    packet.add_argument("--drawings", metavar="FOLDER", help="also save every drawing as SVG in this folder")
    _solver(packet)
    packet.add_argument("--questions", action="store_true", help="also ask which unknowns decide most (slower)")
    packet.add_argument("--alternatives", action=argparse.BooleanOptionalAction, default=None,
                        help="compare the ways to build it; left out, where nothing is proposed yet")  # fmt: skip

    drawings = _command(commands, "drawings", "write every drawing of a job as SVG, and on wish as DXF")
    _job(drawings)
    drawings.add_argument(
        "--folder", metavar="FOLDER", required=True, help="folder to write to; made if it is not there"
    )
    drawings.add_argument("--dxf", action="store_true", help="write each drawing as DXF too; needs the library ezdxf")

    code = _command(commands, "code", "look up a value, table or section of the code editions")
    code.add_argument("words", metavar="WORDS", nargs="*", help='plain words or a section: "dwelling service", 310.12')
    code.add_argument("--edition", metavar="NAME", help='one edition only, as "NEC 2020"')
    code.add_argument("--memory", action="store_true", help="list what was not read in print: from memory, carried "
                      "over, not known")  # fmt: skip
    _json(code)

    rules = _command(commands, "rules", "print the catalogue of rules")
    rules.add_argument("words", metavar="WORDS", nargs="*", help="only rules that hold these words, or this section")
    rules.add_argument("--edition", metavar="NAME", help='sections of one edition only, as "NEC 2020"')
    _json(rules)

    ways = _command(commands, "alternatives", "the lawful ways to build the service, best first; or take one")
    _job(ways)
    ways.add_argument("--order", metavar="WORDS", help='what to rank by, weightiest first, as "headroom, power off"; '
                      "left out: the shop's own in the job file")  # fmt: skip
    one = ways.add_mutually_exclusive_group()
    one.add_argument("--way", metavar="ID", help="one way only, with what follows from it and its figures worked out")
    one.add_argument("--take", metavar="ID", help="write this way into the job file as its proposal")
    ways.add_argument("--replace", action="store_true", help="with --take: in place of the proposal that stands there")
    _json(ways)

    questions = _command(commands, "questions", "which unknowns decide something, the most decisive first")
    _job(questions)
    questions.add_argument("--most", metavar="N", type=int, default=10, help="how many to list (10); 0 lists all")
    questions.add_argument("--alternatives", action="store_true",
                           help="also which ways to build it an answer makes lawful or not (slower)")  # fmt: skip
    _json(questions)

    town = _command(commands, "town", "list what state, town and utility ask beyond the edition; or plan under another")
    town.add_argument("file", metavar="JOB|OVERLAY", help="job file, or an overlay file by itself (TOML)")
    town.add_argument("--edition", metavar="NAME", help='the edition to start from, as "NEC 2020"')
    town.add_argument("--if-edition", metavar="NAME", help="plan the job under this edition too, and list what differs")
    _json(town)

    backup = _command(commands, "backup", "keep all jobs of the shop in one file; the pages may stay open")
    backup.add_argument("file", metavar="FILE", nargs="?", help="zip file to write; left out: among the data's backups")
    _data(backup)

    restore = _command(commands, "restore", "bring a backup back: all of it, or nothing is changed")
    restore.add_argument("file", metavar="FILE", help="zip file that driploop backup wrote")
    restore.add_argument("--replace", action="store_true",
                         help="in place of the jobs that are there, which are kept in a backup first")  # fmt: skip
    _data(restore)

    export = _command(commands, "export", "write job files, histories and photographs as plain files in one zip")
    export.add_argument("file", metavar="FILE", help="zip file to write")
    _data(export)

    serve = _command(commands, "serve", "open the pages of the shop's jobs in a browser, on this machine or a network")
    serve.add_argument(
        "--host", metavar="ADDRESS", default="127.0.0.1", help="where to listen (127.0.0.1: this machine)"
    )
    serve.add_argument(
        "--port", metavar="N", type=int, default=8420, help="port to listen at (8420); 0 takes a free one"
    )
    serve.add_argument("--data", metavar="FOLDER", help="folder of the database and the photographs; left out: "
                       "driploop in the home folder")  # fmt: skip
    serve.add_argument("--database", metavar="URL", help="another database, as postgresql://user@host/name")
    serve.add_argument("--certificate", metavar="FILE", help="serve https with this certificate (docs/serving.md)")
    serve.add_argument("--key", metavar="FILE", help="the certificate's key, where it stands in a file of its own")
    serve.add_argument("--name", metavar="NAME", action="append", help="a name by which the program is called on the "
                       "network, beside its numbers; may be given again")  # fmt: skip
    serve.add_argument("--behind-proxy", action="store_true", help="a web server on this machine passes requests on: "
                       "believe it where they come from, and let everybody sign in")  # fmt: skip
    serve.add_argument("--invite-owner", action="store_true", help="print a link with which one person can make an "
                       "owner's account: the first one, or when a password is forgotten")  # fmt: skip

    _command(commands, "schema", "print the JSON Schema of the job file, for editors that check while you type")

    migrate = _command(commands, "migrate", "bring a job file of an older format up to date, comments kept")
    _job(migrate)
    return parser


def _command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], name: str, words: str
) -> argparse.ArgumentParser:
    return commands.add_parser(name, help=words, description=f"{words[0].upper()}{words[1:]}.")


def _job(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", help="job file (TOML)")


def _data(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--data", metavar="FOLDER", help="folder of the database and the photographs; left out: "
                        "driploop in the home folder")  # fmt: skip
    parser.add_argument("--database", metavar="URL", help="another database, as postgresql://user@host/name")


def _solver(parser: argparse.ArgumentParser) -> None:
    words = "how panels are laid out: plain needs nothing (default), exact proves it best and needs OR-tools"
    parser.add_argument("--solver", choices=("plain", "exact"), default="plain", help=words)


def _json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print data (JSON) instead of tables")


if __name__ == "__main__":
    raise SystemExit(main())

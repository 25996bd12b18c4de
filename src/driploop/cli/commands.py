"""One function a command. Each returns an exit code."""

from __future__ import annotations

import json
import shlex
import sys
from argparse import Namespace
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Any

from driploop.cli.main import FINE, MEND
from driploop.worksheet import DriploopError

if TYPE_CHECKING:
    from driploop.editions import Overlay
    from driploop.installation import Job
    from driploop.panel import PanelBox, Solver
    from driploop.planning import Plan


def new(arguments: Namespace) -> int:
    """Write a starter survey."""
    from driploop.survey import starter, write_atomic

    if not arguments.job.strip():
        raise DriploopError("Name the file to write: driploop new my-job.toml")
    path = Path(arguments.job)
    if path.is_dir():
        raise DriploopError(f"{path}: a folder. Name a file in it: {path / 'my-job.toml'}")
    if path.exists():
        raise DriploopError(f"{path}: is there already and is left as it is. Choose another name.")
    if not path.parent.is_dir():
        raise DriploopError(f"{path}: there is no folder {path.parent}. Make it first, or choose another place.")
    write_atomic(path, starter(title=_as_text(arguments.title)))
    print(f'{path} written. Walk the place with it; whatever you cannot see stays "unknown".')
    print(f"Then: driploop check {shlex.quote(str(path))}")
    return FINE


def check(arguments: Namespace) -> int:
    """List findings and assumptions."""
    plan = plan_of(arguments.job)
    if arguments.json:
        from driploop.documents.as_data import assumption_data, finding_data

        print_json(
            {
                "edition": plan.edition.name,
                "must_mend": len(plan.must_mend),
                "found": [finding_data(f) for f in plan.found_findings],
                "proposed": [finding_data(f) for f in plan.proposed_findings] if plan.proposed else None,
                "assumptions": [assumption_data(a) for a in plan.all_assumptions],
            }
        )
    else:
        from driploop.cli import show

        show.findings(plan)
    return MEND if plan.must_mend else FINE


def loads(arguments: Namespace) -> int:
    """Print calculated loads."""
    plan = plan_of(arguments.job)
    if arguments.at is not None:
        _known_place(plan, arguments.at)
    if arguments.json:
        from driploop.documents.as_data import assumption_data, headroom_data, loads_data

        print_json(
            {
                "edition": plan.edition.name,
                "found": loads_data(plan.found.loads, at=arguments.at),
                "proposed": loads_data(plan.proposed.loads, at=arguments.at) if plan.proposed else None,
                "headroom": headroom_data(plan.headroom),
                "assumptions": [assumption_data(a) for a in plan.assumptions],
            }
        )
    else:
        from driploop.cli import show

        show.loads(plan, at=arguments.at, worksheets=arguments.worksheets)
    return FINE


def duties(arguments: Namespace) -> int:
    """List the duties that the change awakens."""
    from driploop.cli.duties import duties as answer

    return answer(arguments)


def disconnects(arguments: Namespace) -> int:
    """List what becomes of each old disconnect."""
    from driploop.cli.duties import disconnects as answer

    return answer(arguments)


def circuits(arguments: Namespace) -> int:
    """Print the protection of every circuit."""
    from driploop.cli.circuits import circuits as answer

    return answer(arguments)


def faults(arguments: Namespace) -> int:
    """Print fault currents."""
    from driploop.cli.electrical import faults as answer

    return answer(arguments)


def voltages(arguments: Namespace) -> int:
    """Print voltages."""
    from driploop.cli.electrical import voltages as answer

    return answer(arguments)


def panel(arguments: Namespace) -> int:
    """Print where each circuit lands."""
    from driploop.cli.panel import panel as answer

    return answer(arguments)


def earth(arguments: Namespace) -> int:
    """Print what the electrodes read in their soil."""
    from driploop.cli.outdoors import earth as answer

    return answer(arguments)


def drop(arguments: Namespace) -> int:
    """Print how overhead runs hang and pull."""
    from driploop.cli.outdoors import drop as answer

    return answer(arguments)


def packet(arguments: Namespace) -> int:
    """Make the PDF."""
    from driploop.cli.show import must_mend_words
    from driploop.survey import write_atomic

    plan = plan_of(arguments.job, panel_solver=arguments.solver)
    out = Path(arguments.out or Path(arguments.job).with_suffix(".pdf"))
    folder = Path(arguments.drawings) if arguments.drawings else None
    _only_over_a_pdf(out)
    for needed in (out.parent, folder):
        if needed is not None:
            make_folder(needed)

    from driploop.documents import packet_pdf, pictures

    write_atomic(out, packet_pdf(plan, with_questions=arguments.questions, with_alternatives=arguments.alternatives))
    print(f"{out} written.")
    if folder is not None:
        drawings = pictures(plan)
        for name, svg in drawings.items():
            write_atomic(folder / name, svg)
        print(f"{len(drawings)} drawings written to {folder}.")
    if plan.must_mend:
        print(f"{must_mend_words(plan)} Listed by: driploop check {shlex.quote(arguments.job)}")
        return MEND
    return FINE


def serve(arguments: Namespace) -> int:
    """Serve the pages until stopped."""
    from driploop.cli.serve import serve as answer

    return answer(arguments)


def drawings(arguments: Namespace) -> int:
    """Write every drawing."""
    from driploop.cli.drawings import drawings as answer

    return answer(arguments)


def code(arguments: Namespace) -> int:
    """Look something up in the editions."""
    from driploop.cli import lookup

    editions = [arguments.edition] if arguments.edition else None
    words = " ".join(arguments.words).strip()
    if arguments.memory:
        found: Any = lookup.on_memory(editions)
    elif words:
        found = lookup.entries(words, editions)
    else:
        raise DriploopError('Say what to look up: plain words or a section, as  driploop code "dwelling service"')
    if arguments.json:
        print_json(found)
    elif arguments.memory:
        lookup.show_memory(found)
    else:
        lookup.show_entries(found)
    return FINE


def rules(arguments: Namespace) -> int:
    """Print the catalogue."""
    from driploop.cli import lookup

    found = lookup.rules(" ".join(arguments.words), [arguments.edition] if arguments.edition else None)
    if arguments.json:
        print_json(found)
    else:
        lookup.show_rules(found)
    return FINE


def backup(arguments: Namespace) -> int:
    """Keep all jobs of the shop in one file."""
    from driploop.cli.keeping import backup as answer

    return answer(arguments)


def restore(arguments: Namespace) -> int:
    """Bring a backup back."""
    from driploop.cli.keeping import restore as answer

    return answer(arguments)


def export(arguments: Namespace) -> int:
    """Write everything as plain files."""
    from driploop.cli.keeping import export as answer

    return answer(arguments)


def alternatives(arguments: Namespace) -> int:
    """List the ways to build the service, or take one."""
    from driploop.cli.alternatives import alternatives as answer

    return answer(arguments)


def questions(arguments: Namespace) -> int:
    """List the unknowns that decide something."""
    from driploop.cli.questions import questions as answer

    return answer(arguments)


def town(arguments: Namespace) -> int:
    """List the local rules, or the job under another edition."""
    from driploop.cli.town import town as answer

    return answer(arguments)


def schema(arguments: Namespace) -> int:
    """Print the JSON Schema."""
    from driploop.survey import json_schema

    print_json(json_schema())
    return FINE


def migrate(arguments: Namespace) -> int:
    """Bring an old job file up to date."""
    from driploop.survey import migrate_job

    print(migrate_job(arguments.job))
    return FINE


def plan_of(path: str, *, panel_solver: Solver = "plain") -> Plan:
    """The plan of a job file, under its edition with the overlays it names, with the panels of its shop."""
    from driploop.editions import load_edition
    from driploop.planning import FALLBACK_EDITION, plan
    from driploop.survey import read_job

    job = read_job(path)
    overlays = overlays_of(path, job)
    boxes = panels_of(path, job)
    edition = load_edition(job.town.edition or FALLBACK_EDITION, overlays=overlays) if overlays else None
    return plan(job, edition=edition, panel_boxes=boxes, panel_solver=panel_solver)


def panels_of(path: str, job: Job) -> tuple[PanelBox, ...]:
    """The panels that the shop lists in a file of its own, counted from the job file's folder; none for the generic
    list."""
    name = job.shop.panels
    if name is None:
        return ()
    from driploop.panel import read_panel_list
    from driploop.survey.read import job_text_of

    file = Path(path).parent / name
    try:
        return read_panel_list(job_text_of(file, what="a list of panels"), name=str(file))
    except (DriploopError, ValueError) as error:  # ValueError: no file can have such a name
        words = "a file of panels (TOML), counted from the job file's folder; left out, the generic list serves"
        raise DriploopError(f'{path}: shop.panels = "{name}" names {words}.\n\n{error}') from error


def overlays_of(path: str, job: Job) -> list[Overlay]:
    """The overlays a job names, town first, counted from the job file's folder."""
    wanted = {"town": job.town.overlay, "utility": job.found.utility.overlay}
    return [_overlay(path, f"{table}.overlay", name) for table, name in wanted.items() if name]


def _overlay(job: str, field: str, name: str) -> Overlay:
    from driploop.editions import read_overlay

    try:
        return read_overlay(Path(job).parent / name)
    except (DriploopError, ValueError) as error:  # ValueError: no file can have such a name
        raise DriploopError(
            f'{job}: {field} = "{name}"\n  read     {error}\n'
            "  allowed  the name of an overlay file (TOML), counted from the job file's folder\n"
            "  do       Mend the name or that file, or leave the overlay out."
        ) from error


def _known_place(plan: Plan, at: str) -> None:
    known: dict[str, None] = {}
    for readings in (plan.proposed, plan.found):
        if readings is not None:
            known |= dict.fromkeys((*readings.loads.nodes, *readings.loads.buildings))
    if at in known:
        return
    near = get_close_matches(at, known, n=1)
    hint = f" Did you mean {near[0]}?" if near else ""
    raise DriploopError(
        f'--at "{at}": no enclosure or building of this job has a load by that id.{hint}\n'
        f"There are: {', '.join(known) or 'none yet'}."
    )


def _only_over_a_pdf(out: Path) -> None:
    """Refuse to write over anything that is no PDF: it may be the survey itself."""
    if out.is_dir():
        raise DriploopError(f"{out}: a folder. Name a file in it: {out / 'packet.pdf'}")
    if out.is_file():
        with out.open("rb") as file:
            if file.read(4) not in (b"%PDF", b""):
                raise DriploopError(f"{out}: is there already and is no PDF; it is left as it is. Choose another name.")


def make_folder(folder: Path) -> None:
    """Make a folder with all above it; refuse in words where a file is in the way."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise DriploopError(f"{folder}: a file of that name is in the way of the folder. Choose another.") from None


def _as_text(argument: str) -> str:
    """An argument whose bytes were no UTF-8, with stand-ins for those, on one line."""
    return " ".join(argument.encode("utf-8", "replace").decode("utf-8").split())


def print_json(data: Any) -> None:
    """Print data as JSON, in the letters the terminal has."""
    unicode = (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"
    json.dump(data, sys.stdout, ensure_ascii=not unicode, indent=2)
    print()

"""One function a command. Each returns an exit code."""

from __future__ import annotations

import json
import sys
from argparse import Namespace
from pathlib import Path
from typing import Any

from driploop.cli.main import FINE, MEND
from driploop.worksheet import DriploopError


def new(arguments: Namespace) -> int:
    """Write a starter survey."""
    from driploop.survey import starter, write_atomic

    path = Path(arguments.job)
    if path.exists():
        raise DriploopError(f"{path}: is there already and is left as it is. Choose another name.")
    write_atomic(path, starter(title=arguments.title))
    print(f'{path} written. Walk the place with it; whatever you cannot see stays "unknown".')
    print(f"Then: driploop check {path}")
    return FINE


def check(arguments: Namespace) -> int:
    """List findings and assumptions."""
    from driploop.cli import show

    plan = _plan(arguments.job)
    if arguments.json:
        from driploop.documents.as_data import assumption_data, finding_data

        _print_json(
            {
                "edition": plan.edition.name,
                "found": [finding_data(f) for f in plan.found_findings],
                "proposed": [finding_data(f) for f in plan.proposed_findings],
                "assumptions": [assumption_data(a) for a in plan.assumptions],
            }
        )
    else:
        show.findings(plan)
    return MEND if plan.must_mend else FINE


def loads(arguments: Namespace) -> int:
    """Print calculated loads."""
    from driploop.cli import show

    plan = _plan(arguments.job)
    known = plan.final.loads.nodes
    if arguments.at is not None and arguments.at not in known:
        raise DriploopError(f"--at {arguments.at}: not an enclosure of this job; there are: {', '.join(known)}.")
    if arguments.json:
        from driploop.documents.as_data import assumption_data, headroom_data, loads_data

        _print_json(
            {
                "edition": plan.edition.name,
                "found": loads_data(plan.found.loads),
                "proposed": loads_data(plan.proposed.loads) if plan.proposed else None,
                "headroom": headroom_data(plan.headroom),
                "assumptions": [assumption_data(a) for a in plan.assumptions],
            }
        )
    else:
        show.loads(plan, at=arguments.at, worksheets=arguments.worksheets)
    return FINE


def packet(arguments: Namespace) -> int:
    """Make the PDF."""
    from driploop.documents import packet_pdf, pictures
    from driploop.survey import write_atomic

    plan = _plan(arguments.job)
    out = Path(arguments.out or Path(arguments.job).with_suffix(".pdf"))
    out.parent.mkdir(parents=True, exist_ok=True)
    write_atomic(out, packet_pdf(plan))
    print(f"{out} written.")
    if arguments.drawings:
        folder = Path(arguments.drawings)
        folder.mkdir(parents=True, exist_ok=True)
        drawings = pictures(plan)
        for name, svg in drawings.items():
            write_atomic(folder / name, svg)
        print(f"{len(drawings)} drawings written to {folder}.")
    if plan.must_mend:
        print(f"{len(plan.must_mend)} findings must be mended: driploop check {arguments.job}")
        return MEND
    return FINE


def code(arguments: Namespace) -> int:
    """Look something up in the editions."""
    from driploop.cli import lookup

    editions = [arguments.edition] if arguments.edition else None
    if arguments.memory:
        found: Any = lookup.on_memory(editions)
    else:
        if not arguments.words:
            raise DriploopError('Say what to look up: plain words or a section, as  driploop code "dwelling service"')
        found = lookup.entries(" ".join(arguments.words), editions)
    if arguments.json:
        _print_json(found)
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
        _print_json(found)
    else:
        lookup.show_rules(found)
    return FINE


def schema(arguments: Namespace) -> int:
    """Print the JSON Schema."""
    from driploop.survey import json_schema

    _print_json(json_schema())
    return FINE


def migrate(arguments: Namespace) -> int:
    """Bring an old job file up to date."""
    from driploop.survey import migrate_job

    print(migrate_job(arguments.job))
    return FINE


def _plan(path: str) -> Any:
    from driploop.editions import load_edition, read_overlay
    from driploop.planning import FALLBACK_EDITION, plan
    from driploop.survey import read_job

    job = read_job(path)
    wanted = [name for name in (job.town.overlay, job.found.utility.overlay) if name]
    if not wanted:
        return plan(job)
    overlays = [read_overlay(Path(path).parent / name) for name in wanted]
    return plan(job, edition=load_edition(job.town.edition or FALLBACK_EDITION, overlays=overlays))


def _print_json(data: Any) -> None:
    json.dump(data, sys.stdout, ensure_ascii=False, indent=2)
    print()

"""``driploop drawings``: every drawing of a job as files, SVG and on wish DXF."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from driploop.cli.main import FINE


def drawings(arguments: Namespace) -> int:
    """Write every drawing into a folder; a file of the same name is written over, others are left alone."""
    from driploop.cli.commands import make_folder, plan_of
    from driploop.documents import all_drawings
    from driploop.drawings import to_svg
    from driploop.survey import write_atomic

    plan = plan_of(arguments.job)
    folder = Path(arguments.folder)
    made = all_drawings(plan)
    files: dict[str, str | bytes] = {name: to_svg(drawing) for name, drawing in made.items()}
    if arguments.dxf:  # before anything is written: the library may be missing
        from driploop.documents.dxf import to_dxf

        files |= {f"{name.removesuffix('.svg')}.dxf": to_dxf(drawing) for name, drawing in made.items()}
    make_folder(folder)
    for name, content in files.items():
        write_atomic(folder / name, content)
    each = "as SVG and DXF" if arguments.dxf else "as SVG"
    print(f"{len(made)} drawings written to {folder}, {each}.")
    return FINE

"""Both readings of the demo take less than 10 ms of processor time, and are not taken unasked."""

from pathlib import Path
from time import process_time

import driploop
from driploop.circuits import read_duties, read_old_disconnects

DEMO = Path(__file__).resolve().parents[2] / "examples" / "orchard.toml"


def test_the_demo_is_read_in_ten_milliseconds():
    final = driploop.plan(driploop.read_job(DEMO)).final
    assert not {"duties", "old_disconnects"} & set(vars(final))
    change = final.change
    assert change.found is not None
    taken = []
    for _ in range(5):
        start = process_time()
        read_duties(change)
        read_old_disconnects(change.found, proposed=change.graph, edition=change.edition)
        taken.append(process_time() - start)
    assert min(taken) < 0.010

"""One balanced power flow in pandapower, timed: the network as JSON comes in, processor time of one case goes out."""

from __future__ import annotations

import json
import sys
import time

import pandapower


def main() -> None:
    """Read the network, solve it some times, print the least time of one [s] and the far end's voltage [share]."""
    asked = json.load(sys.stdin)
    net = pandapower.create_empty_network()
    buses = {bus: pandapower.create_bus(net, vn_kv=0.24) for bus in asked["buses"]}
    pandapower.create_ext_grid(net, buses[asked["source"]])
    for start, end, r, x in asked["lines"]:
        pandapower.create_line_from_parameters(net, buses[start], buses[end], 1, r, max(x, 1e-6), 0, 1)
    for bus, watt in asked["loads"]:
        pandapower.create_load(net, buses[bus], watt / 1e6)
    best = float("inf")
    for _ in range(asked["repeats"]):
        began = time.process_time()
        pandapower.runpp(net, numba=False)
        best = min(best, time.process_time() - began)
    json.dump({"seconds": best, "version": pandapower.__version__, "least": float(net.res_bus.vm_pu.min())}, sys.stdout)


if __name__ == "__main__":
    main()

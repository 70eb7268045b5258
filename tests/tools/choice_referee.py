"""Solves choices under limits, stage by stage, with HiGHS as scipy carries it: one JSON line for each
line of standard input."""

import json
import sys

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp


def judge(line):
    limits = [LinearConstraint(np.array(line["use"]), ub=np.array(line["stock"]))]
    reached = []
    for stage in line["stages"]:
        worth = np.array(stage)
        solved = milp(
            -worth,
            constraints=limits,
            integrality=np.ones(len(worth)),
            bounds=Bounds(0, 1),
            options={"mip_rel_gap": 0},
        )
        assert solved.status == 0, solved.message
        reached.append(round(-solved.fun))
        limits.append(LinearConstraint(worth[np.newaxis, :], lb=reached[-1]))
    return {"reached": reached}


for line in sys.stdin:
    print(json.dumps(judge(json.loads(line))))

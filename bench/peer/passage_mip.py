"""The passage's decision as a mixed-integer program in HiGHS, on the problem file that the bench plans.

Prints one JSON line for the bench's own case, and one for each of the chosen cases whose optimum is found in two minutes.
The program is that of validation/passage/mip.py; only the solver is timed.
"""

import json
import sys
from pathlib import Path

FOLDER = Path(__file__).resolve().parents[2] / "validation" / "passage"
sys.path.insert(0, str(FOLDER))

from make_costs import expand  # noqa: E402
from mip import solve  # noqa: E402

BENCHED = "tricky-below-reserve-at-start"


def main():
    """Times the benched case first, then with --all every other."""
    problems = [json.loads(line) for line in (FOLDER / "cases.jsonl").open(encoding="utf-8")]
    for problem in problems:
        if problem["name"] != BENCHED and "--all" not in sys.argv:
            continue
        _, _, optimal, seconds = solve(expand(problem), 120.0)
        name = "HiGHS passage" if problem["name"] == BENCHED else f"HiGHS {problem['name']}"
        if optimal:
            print(json.dumps({"name": name, "solves": 1, "seconds": seconds}), flush=True)


if __name__ == "__main__":
    main()

"""The passage's decision as a mixed-integer program in HiGHS, on the problem files that the bench plans.

Prints one JSON line for the bench's own case, one for the middle of the times of all files whose optimum is found in two
minutes, and with --all one for each of them. The program is that of validation/passage/mip.py; only the solver is timed.
"""

import json
import sys
from pathlib import Path

FOLDER = Path(__file__).resolve().parents[2] / "validation" / "passage"
sys.path.insert(0, str(FOLDER))

from make_costs import expand  # noqa: E402
from mip import solve  # noqa: E402

BENCHED = "tricky-below-reserve-at-start"


def told(name, seconds):
    """One line for the report."""
    print(json.dumps({"name": name, "solves": 1, "seconds": seconds}), flush=True)


def main():
    """Solves and times every file."""
    problems = [json.loads(line) for line in (FOLDER / "cases.jsonl").open(encoding="utf-8")]
    times = []
    for problem in problems:
        _, _, optimal, seconds = solve(expand(problem), 120.0)
        # One that takes longer is longer than the middle all the same.
        times.append(seconds)
        if optimal and problem["name"] == BENCHED:
            told("HiGHS passage", seconds)
        elif optimal and "--all" in sys.argv:
            told(f"HiGHS {problem['name']}", seconds)
    told("HiGHS passage files, the middle one", sorted(times)[len(times) // 2])


if __name__ == "__main__":
    main()

"""Seeded random passages and their optimal costs by HiGHS: problems.jsonl and costs.csv.

A passage is kept as runs of equal values, `[[value, count], ...]`, so that a person can read it. Those that HiGHS does
not prove optimal in time are left out. `--cases` solves the chosen passages (cases.jsonl, worked.json) into cases.csv;
`--check` solves every random one again and compares.
"""

import csv
import json
import multiprocessing
import random
import sys
from pathlib import Path

from mip import solve

HERE = Path(__file__).parent
SEED, COUNT, LIMIT_S = 20261125, 72, 100.0


def expand(problem):
    """The problem with its runs laid out, as the interchange format has it."""
    laid_out = {
        key: [value for value, count in runs for _ in range(count)]
        for key, runs in problem["samples"].items() if isinstance(runs, list)
    }
    return {**problem, "samples": laid_out}


def runs(values):
    """Runs of equal values."""
    found = []
    for value in values:
        if found and found[-1][0] == value:
            found[-1][1] += 1
        else:
            found.append([value, 1])
    return found


def passage(number):
    """One random passage, different in kind from number to number."""
    chance = random.Random(SEED * 1000 + number)
    n = chance.randrange(220, 460)
    clock = chance.randrange(96)
    manned = [1 if 28 <= (k + clock) % 96 < 76 else 0 for k in range(n)]
    if chance.random() < 0.1:
        manned = [1] * n
    allowed, inside = [], chance.random() < 0.4
    while len(allowed) < n:
        length = chance.choice([4, 20, 60, 110]) if inside else chance.choice([30, 90, 160, 260])
        allowed += [0 if inside else 1] * length
        inside = not inside
    allowed = allowed[:n]
    base = chance.uniform(8, 26)
    make = []
    while len(make) < n:
        make += [round(base * chance.uniform(0.75, 1.1), 2)] * chance.randrange(16, 80)
    use_day = chance.uniform(4, 9)
    use = [round(use_day * (1.0 if allowed[k] else chance.choice([0.8, 0.8, 1.0])), 2) if k % 24 == 0
           else None for k in range(n)]
    for k in range(n):
        use[k] = use[k - 1] if use[k] is None else use[k]
    supply = []
    if chance.random() < 0.35:
        at = chance.randrange(n // 3, n - 40)
        for k in range(at, min(at + 24, n)):
            use[k] = round(use[k] + 80.0, 2)
        supply.append({"name": "rinse with less", "at": at, "price_t": 30.0, "fixed": 0.0, "max_t": 20.0})
    if chance.random() < 0.3:
        supply.append({"name": "barge", "at": chance.randrange(n), "price_t": 9.0, "fixed": 120.0,
                       "max_t": 100.0})
    supply.sort(key=lambda s: s["at"])
    top = round(chance.uniform(50, 220), 1)
    ceiling = [top] * n
    if chance.random() < 0.3:
        at = chance.randrange(n // 2, n)
        ceiling[at:] = [round(top * 0.6, 1)] * (n - at)
    reserve = round(chance.uniform(0, 40), 1)
    samples = {
        "allowed": allowed, "manned": manned, "run_ok": [1] * n, "make_t_day": make[:n], "use_t_day": use,
        "ceiling_t": ceiling, "reserve_t": [min(reserve, c) for c in ceiling],
    }
    if chance.random() < 0.4:
        samples["run_ok"] = [a or chance.random() < 0.5 for a in allowed]
        samples["run_ok"] = [int(r) for r in samples["run_ok"]]
    if chance.random() < 0.25:
        samples["boost_t_day"] = [round(m * 1.25, 2) if (k // 48) % 2 else m
                                  for k, m in enumerate(samples["make_t_day"])]
    making = chance.random() < 0.2 and allowed[0] == 1
    return {
        "name": f"random {number}",
        "step_min": 15,
        "initial": {"stock_t": round(min(chance.uniform(10, 90), top), 1),
                    "state": "making" if making else "off", "steps_left": 0},
        "samples": {key: runs(values) for key, values in samples.items()},
        "plant": {"start_min": chance.choice([45, 75, 90]), "stop_min": chance.choice([30, 45, 60]),
                  "levels": chance.choice([[1.0], [1.0, 0.5], [1.0, 0.5]])},
        "costs": {"start": chance.choice([20.0, 40.0, 90.0]), "retrim": 5.0, "run_h": chance.choice([1.0, 2.0, 3.0]),
                  "make_t": chance.choice([0.3, 1.0]), "boost_h": 12.0,
                  "carry_t_day": chance.choice([0.0, 0.1, 0.2]), "callout": 150.0, "shortfall_t": 200.0,
                  "below_reserve_t_day": chance.choice([1.0, 5.0, 30.0]), "spill_t": 5.0},
        "supply": supply,
        "end": {"target_t": chance.choice([0.0, reserve, round(min(2 * reserve, top), 1)]),
                "price_t": chance.choice([5.0, 9.0, 12.0])},
    }


def solved(number):
    """A passage and what HiGHS makes of it."""
    problem = passage(number)
    return number, problem, solve(expand(problem), LIMIT_S)


def check():
    """Solves every kept passage again."""
    with open(HERE / "costs.csv", encoding="utf-8") as file:
        kept = list(csv.DictReader(file))
    worst = 0.0
    for row in kept:
        cost, _, optimal, _ = solve(expand(passage(int(row["number"]))), 10 * LIMIT_S)
        worst = max(worst, abs(cost - float(row["cost"])) / max(1.0, abs(cost)))
        assert optimal
    print(f"{len(kept)} passages, largest relative difference {worst:.1e}")


def cases():
    """The chosen passages, each with all the time it needs."""
    lines = (HERE / "cases.jsonl").read_text(encoding="utf-8").splitlines()
    lines.append((HERE / "worked.json").read_text(encoding="utf-8"))
    with open(HERE / "cases.csv", "w", encoding="utf-8", newline="\n") as file:
        file.write("name,cost,bound,seconds\n")
        for line in lines:
            problem = expand(json.loads(line))
            cost, bound, _, seconds = solve(problem, 900.0, threads=2)
            name = problem["name"].replace(",", "")
            print(name, cost, bound, seconds, flush=True)
            file.write(f"{name},{cost:.6f},{bound:.6f},{seconds:.2f}\n")


def main():
    """Makes the tables."""
    if "--cases" in sys.argv:
        return cases()
    if "--check" in sys.argv:
        return check()
    with multiprocessing.Pool(2) as pool:
        answers = []
        for answer in pool.imap_unordered(solved, range(COUNT)):
            print(answer[0], answer[2], flush=True)
            answers.append(answer)
    answers = sorted((a for a in answers if a[2][2]), key=lambda a: a[0])
    with open(HERE / "problems.jsonl", "w", encoding="utf-8", newline="\n") as file:
        for _, problem, _ in answers:
            file.write(json.dumps(problem, separators=(",", ":")) + "\n")
    with open(HERE / "costs.csv", "w", encoding="utf-8", newline="\n") as file:
        file.write("number,cost,bound,seconds\n")
        for number, _, (cost, bound, _, seconds) in answers:
            file.write(f"{number},{cost:.6f},{bound:.6f},{seconds:.2f}\n")


if __name__ == "__main__":
    main()

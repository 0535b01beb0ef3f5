"""The passage plan's decision as a mixed-integer program, solved with HiGHS.

Written from the decision model alone: states off, starting, making at a trim, stopping; what may follow what, and what
it pays. `solve(problem)` takes a problem in the interchange format and answers cost, bound and seconds.
"""

import math
import time

import highspy
import numpy as np

DEFAULT = {
    "start": 40.0, "retrim": 5.0, "run_h": 2.0, "make_t": 0.3, "boost_h": 0.0, "carry_t_day": 0.15,
    "callout": 150.0, "shortfall_t": 200.0, "below_reserve_t_day": 30.0, "spill_t": 1.0,
}


class Rows:
    """Variables and rows collected before they are passed on."""

    def __init__(self):
        self.cost, self.low, self.high, self.whole = [], [], [], []
        self.rows = []

    def var(self, cost=0.0, low=0.0, high=math.inf, whole=False):
        """A variable; answers its number."""
        self.cost.append(cost)
        self.low.append(low)
        self.high.append(high)
        self.whole.append(whole)
        return len(self.cost) - 1

    def row(self, terms, low, high):
        """low <= sum of coefficient * variable <= high."""
        self.rows.append((terms, low, high))


def build(problem):
    """The program: off, starts, making by trim, stops; stock, short, lost, under the reserve."""
    s, n = problem["samples"], len(problem["samples"]["allowed"])
    c = {**DEFAULT, **problem.get("costs", {})}
    h = problem.get("step_min", 15) / 60.0
    plant = problem.get("plant", {})
    a = max(1, math.ceil(plant.get("start_min", 75) / (60 * h) - 1e-9))
    b = max(1, math.ceil(plant.get("stop_min", 45) / (60 * h) - 1e-9))
    flags = {key: s.get(key, [1] * n) for key in ("manned", "run_ok")}
    carry = s.get("carry", [1] * n)
    trims = [[m * level for m in s["make_t_day"]] for level in plant.get("levels", [1.0, 0.5])]
    extra = [[0.0] * n for _ in trims]
    if "boost_t_day" in s:
        pairs = list(zip(s["boost_t_day"], s["make_t_day"]))
        trims.append([max(x, m) for x, m in pairs])
        extra.append([c["boost_h"] * h if x > m else 0.0 for x, m in pairs])
    lp = Rows()
    begins = problem["initial"].get("state", "off")
    if begins not in ("off", "making"):
        raise ValueError("only problems that begin off or making")

    def may_start(k):
        return (k + a < n and all(s["allowed"][k:k + a + 1]) and all(flags["manned"][k:k + a]))

    start = [lp.var(c["start"], 0, 1 if may_start(k) else 0, True) for k in range(n)]
    stop = []
    for k in range(n):
        hands = all(flags["run_ok"][k:k + b]) and all(flags["manned"][k:k + b])
        stop.append(lp.var(0.0 if hands else c["callout"], 0, 1, True))
    off = [lp.var(0.0, 0, 1) for _ in range(n)]
    make = []
    for level, price in zip(trims, extra):
        make.append([
            lp.var(c["run_h"] * h + price[k] + c["make_t"] * level[k] * h / 24,
                   0, 1 if s["allowed"][k] else 0, True) for k in range(n)])
    for k in range(n):
        for i in range(min(a, n - k)):
            lp.cost[start[k]] += c["run_h"] * h
        for i in range(min(b, n - k)):
            lp.cost[stop[k]] += c["run_h"] * h
    change = [lp.var(c["retrim"], 0, 1 if flags["manned"][k] else 0) for k in range(n)]
    was = 1.0 if begins == "making" else 0.0
    stock, before = [], problem["initial"]["stock_t"]
    bought = {}
    for supply in problem.get("supply", []):
        took = lp.var(supply.get("fixed", 0.0), 0, 1, True)
        tonnes = lp.var(supply["price_t"], 0, supply["max_t"])
        lp.row([(tonnes, 1.0), (took, -supply["max_t"])], -math.inf, 0.0)
        bought.setdefault(supply["at"], []).append(tonnes)
    for k in range(n):
        # One state at a time.
        terms = [(off[k], 1.0)] + [(row[k], 1.0) for row in make]
        terms += [(start[k - i], 1.0) for i in range(a) if k >= i]
        terms += [(stop[k - i], 1.0) for i in range(b) if k >= i]
        lp.row(terms, 1.0, 1.0)
        # Making goes on, is begun by a start that is over, and ends by a stop.
        terms = [(row[k], 1.0) for row in make] + [(stop[k], 1.0)]
        if k > 0:
            terms += [(row[k - 1], -1.0) for row in make]
        if k >= a:
            terms.append((start[k - a], -1.0))
        lp.row(terms, was if k == 0 else 0.0, was if k == 0 else 0.0)
        if len(make) > 1:
            for i, row in enumerate(make):
                terms = [(row[k], 1.0), (change[k], -1.0)]
                if k > 0:
                    terms.append((row[k - 1], -1.0))
                if k >= a:
                    terms.append((start[k - a], -1.0))
                lp.row(terms, -math.inf, was if k == 0 and i == 0 else 0.0)
        # Stock; what is short empties it, what is lost fills it.
        ceiling, use = s["ceiling_t"][k], s["use_t_day"][k] * h / 24
        x = lp.var(c["carry_t_day"] * carry[k] * h / 24, 0, ceiling)
        short = lp.var(c["shortfall_t"])
        lost = lp.var(c["spill_t"])
        dry = lp.var(0.0, 0, 1, True)
        full = lp.var(0.0, 0, 1, True)
        most = max(level[k] for level in trims) * h / 24
        fall = max(0.0, (s["ceiling_t"][k - 1] if k else before) - ceiling)
        lp.row([(short, 1.0), (dry, -use)], -math.inf, 0.0)
        lp.row([(x, 1.0), (dry, ceiling)], -math.inf, ceiling)
        lp.row([(lost, 1.0), (full, -(most + fall))], -math.inf, 0.0)
        lp.row([(x, 1.0), (full, -ceiling)], 0.0, math.inf)
        terms = [(x, 1.0), (short, -1.0), (lost, 1.0)]
        terms += [(row[k], -level[k] * h / 24) for row, level in zip(make, trims)]
        terms += [(tonnes, -1.0) for tonnes in bought.get(k, [])]
        right = -use
        if k > 0:
            terms.append((stock[-1], -1.0))
        else:
            right += before
        lp.row(terms, right, right)
        if k in bought:
            room = s["ceiling_t"][max(k - 1, 0)]
            terms = [(tonnes, 1.0) for tonnes in bought[k]]
            if k > 0:
                terms.append((stock[-1], 1.0))
            else:
                room -= before
            lp.row(terms, -math.inf, room)
        under = lp.var(c["below_reserve_t_day"] * h / 24)
        lp.row([(under, 1.0), (x, 1.0)], s["reserve_t"][k], math.inf)
        stock.append(x)
    end = problem.get("end", {})
    missing = lp.var(end.get("price_t", 9.0))
    lp.row([(missing, 1.0), (stock[-1], 1.0)], end.get("target_t", 0.0), math.inf)
    return lp


def solve(problem, limit_s=300.0, threads=1):
    """Cost, bound, whether optimal, seconds in HiGHS."""
    rows = build(problem)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(rows.cost), len(rows.rows)
    lp.col_cost_ = np.array(rows.cost)
    lp.col_lower_, lp.col_upper_ = np.array(rows.low, float), np.array(rows.high, float)
    lp.row_lower_ = np.array([row[1] for row in rows.rows], float)
    lp.row_upper_ = np.array([row[2] for row in rows.rows], float)
    lp.integrality_ = [
        highspy.HighsVarType.kInteger if whole else highspy.HighsVarType.kContinuous
        for whole in rows.whole
    ]
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    starts, index, value = [0], [], []
    for terms, _, _ in rows.rows:
        index += [term[0] for term in terms]
        value += [term[1] for term in terms]
        starts.append(len(index))
    lp.a_matrix_.start_ = np.array(starts)
    lp.a_matrix_.index_ = np.array(index)
    lp.a_matrix_.value_ = np.array(value, float)
    highs = highspy.Highs()
    highs.silent()
    highs.setOptionValue("threads", threads)
    highs.setOptionValue("time_limit", limit_s)
    highs.setOptionValue("mip_rel_gap", 1e-6)
    highs.passModel(lp)
    begun = time.perf_counter()
    highs.run()
    seconds = time.perf_counter() - begun
    info = highs.getInfo()
    optimal = highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return info.objective_function_value, info.mip_dual_bound, optimal, seconds

"""Samples the posterior of single sets of readings by a long Markov chain, for comparison with the mixture of the findings.

Written from docs/findings.md and the tables of causes and instruments alone: prior (none, each cause, pairs), errors of instruments and
model, scatter of the readings. Only the plant's solution is the project's own (crates/plant/examples/fitted.rs).

    pip install -r requirements.txt
    cargo build --release -p plant --example fitted
    python sample.py ../../target/release/examples/fitted
"""
import csv
import itertools
import subprocess
import sys

import emcee
import numpy as np

SEED = 20261129
WALKERS, BURN, STEPS, THIN = 120, 700, 2000, 10

# name, shift of the logarithm (None: plain), healthy (middle, spread), fault, odds, limit, side of the limit
CAUSES = [
    ("scale", 3e-5, (1.5e-5, 0.45), (1.3e-4, 0.40), 0.12, 8.8e-5, 1),
    ("condenser_fouling", 5e-5, (3e-5, 0.40), (2.6e-4, 0.40), 0.12, 1.76e-4, 1),
    ("air_leak", 0.0, (1.0, 0.35), (6.0, 0.40), 0.10, 4.0, 1),
    ("ejector_wear", 0.0, (0.95, 0.07), (0.58, 0.17), 0.05, 0.70, -1),
    ("jacket_flow", 0.0, (1.0, 0.10), (0.68, 0.20), 0.08, 0.80, -1),
    ("sea_flow", 0.0, (1.0, 0.08), (0.68, 0.20), 0.08, 0.80, -1),
    ("feed_low", 0.0, (1.0, 0.08), (0.68, 0.18), 0.05, 0.80, -1),
    ("feed_high", 0.0, (1.0, 0.08), (1.4, 0.13), 0.04, 1.25, 1),
    ("carry_over", 0.0, (1.0, 0.35), (4.5, 0.50), 0.06, 3.0, 1),
    ("condenser_leak", 0.0, (0.01, 1.0), (0.3, 0.60), 0.06, 0.2, 1),
    ("motive_pressure", None, (0.0, 0.15), (-0.8, 0.25), 0.05, -0.6, -1),
    ("overboard", None, (0.0, 0.05), (0.45, 0.20), 0.02, 0.3, 1),
]
# place of each cause's unknown: feed has two causes
UNKNOWN = [0, 1, 2, 3, 4, 5, 6, 6, 7, 8, 9, 10]
CLOSURES = [0.45, 0.12, 0.25]
# name, standing, each, step, limit, model error
INPUTS = [("jacket_in_c", 0.7, 0.4, 0.5, 3.0), ("sea_temp_c", 0.5, 0.3, 0.5, 3.0)]
OUTPUTS = [
    ("jacket_out_c", 0.7, 0.4, 0.5, 3.0, 0.4),
    ("sea_out_c", 0.7, 0.4, 0.5, 3.0, 0.4),
    ("vapour_temp_c", 0.7, 0.4, 0.5, 3.0, 0.6),
    ("shell_gauge_bar_g", 10.0, (5.66**2 + 7.0**2) ** 0.5, 10.0, 40.0, 3.0),
    ("product_t_day", 0.025, 0.015, 0.0, 0.10, 0.02),
    ("ejector_pressure_bar_g", 0.06, 0.05, 0.05, 0.4, 0.0),
]
SALT = (0.12, 0.15, 0.1, 0.5, 0.40)
ODDS, WIDE = 0.03, 1.4
RATED = dict(jacket=16.2, sea=17.5, feed=3.5 * 24.0 * 1000 / 86400, motive=4.0, back=0.4, n=2.0, f=0.3, v=0.020)


def u_of(cause, value):
    shift = cause[1]
    return value if shift is None else np.log(value + shift)


def normal(x, mean, sd):
    return -0.5 * ((x - mean) / sd) ** 2 - np.log(sd) - 0.5 * np.log(2 * np.pi)


class Plant:
    def __init__(self, program):
        self.process = subprocess.Popen([program], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1 << 20)

    def __call__(self, rows):
        text = "".join(" ".join(f"{x:.10g}" for x in row) + "\n" for row in rows)
        self.process.stdin.write(text + "go\n")
        self.process.stdin.flush()
        out = np.full((len(rows), 6), np.nan)
        for i in range(len(rows)):
            line = self.process.stdout.readline()
            if not line.startswith("no"):
                out[i] = [float(w) for w in line.split()]
        return out


class Posterior:
    """State: 11 unknowns, 3 closures, errors of jacket and sea water in, back pressure and salinity of the moment, error in salt."""

    SIZE = 19

    def __init__(self, plant, readings):
        self.plant, self.readings = plant, readings

    def start(self, rng):
        x = np.zeros(self.SIZE)
        for i, cause in enumerate(CAUSES):
            x[UNKNOWN[i]] = u_of(cause, cause[2][0]) + 0.5 * cause[2][1] * rng.standard_normal()
        # some walkers begin in each fault, so that every mode is found
        i = rng.integers(len(CAUSES) + 3)
        if i < len(CAUSES):
            cause = CAUSES[i]
            x[UNKNOWN[i]] = u_of(cause, cause[3][0]) + 0.5 * cause[3][1] * rng.standard_normal()
        x[11:14] = 0.3 * np.array(CLOSURES) * rng.standard_normal(3)
        x[14:19] = 0.3 * np.array([0.7, 0.5, 0.08, 0.4, 0.4]) * rng.standard_normal(5)
        return x

    def __call__(self, states):
        v = [np.exp(states[:, i]) for i in range(11)]
        rows = np.column_stack([
            np.clip(RATED["n"] * np.exp(states[:, 11]), 0.2, 20.0),
            np.clip(RATED["f"] + states[:, 12], 0.0, 0.9),
            RATED["v"] * np.exp(states[:, 13]),
            v[0] - 3e-5, v[1] - 5e-5, v[2], v[3],
            RATED["jacket"] * v[4], RATED["sea"] * v[5], RATED["feed"] * v[6], v[7], v[8],
            RATED["motive"] + states[:, 9], RATED["back"] + states[:, 10] + states[:, 16],
            self.readings["jacket_in_c"] - states[:, 14],
            self.readings["sea_temp_c"] - states[:, 15],
            35.165 + states[:, 17],
        ])
        # states the prior all but forbids are not worth a solution
        rough = sum(np.minimum(((states[:, UNKNOWN[i]] - u_of(c, c[2][0])) / c[2][1]) ** 2, ((states[:, UNKNOWN[i]] - u_of(c, c[3][0])) / c[3][1]) ** 2) for i, c in enumerate(CAUSES) if c[0] not in ("feed_low", "feed_high"))
        rough = rough + sum((states[:, 11 + i] / sd) ** 2 for i, sd in enumerate(CLOSURES))
        rough = rough + (states[:, 16] / 0.08) ** 2 + (states[:, 17] / 0.4) ** 2 + ((states[:, 6]) / 0.5) ** 2
        rough = rough + (states[:, 14] / 4.3) ** 2 + (states[:, 15] / 4.3) ** 2
        thinkable = rough < 90.0
        told = np.full((len(states), 6), np.nan)
        if thinkable.any():
            told[thinkable] = self.plant(rows[thinkable])
        ln = np.zeros(len(states))
        ratios = []
        places = []
        done = set()
        for i, cause in enumerate(CAUSES):
            u = states[:, UNKNOWN[i]]
            sound = normal(u, u_of(cause, cause[2][0]), cause[2][1])
            if UNKNOWN[i] not in done:
                ln += sound
                done.add(UNKNOWN[i])
            fault = normal(u, u_of(cause, cause[3][0]), cause[3][1])
            ratios.append(np.log(cause[4] / (1 - cause[4])) + fault - sound)
            places.append(UNKNOWN[i])
        for i, sd in enumerate(CLOSURES):
            ln += normal(states[:, 11 + i], 0.0, sd)
        odds = np.log(ODDS / (1 - ODDS))
        for i, (_, standing, each, step, limit) in enumerate(INPUTS):
            scatter = each**2 + step**2 / 12
            e = states[:, 14 + i]
            sound = normal(e, 0.0, np.sqrt(standing**2 + scatter))
            ln += sound
            ratios.append(odds + normal(e, 0.0, np.sqrt((WIDE * limit) ** 2 + scatter)) - sound)
            places.append(20 + i)
        ln += normal(states[:, 16], 0.0, 0.08) + normal(states[:, 17], 0.0, 0.4)
        scaled = [told[:, 0], told[:, 1], told[:, 2], told[:, 3] - 1013.25, np.log(told[:, 4]), RATED["motive"] + states[:, 9]]
        for i, (name, standing, each, step, limit, model) in enumerate(OUTPUTS):
            if name not in self.readings:
                continue
            read = self.readings[name]
            if name == "shell_gauge_bar_g":
                read = 1000.0 * read
            if name == "product_t_day":
                read = np.log(read)
            rest = each**2 + step**2 / 12 + model**2
            sound = normal(read - scaled[i], 0.0, np.sqrt(standing**2 + rest))
            ln += sound
            ratios.append(odds + normal(read - scaled[i], 0.0, np.sqrt((WIDE * limit) ** 2 + rest)) - sound)
            places.append(30 + i)
        standing, each, step, limit, model = SALT
        e = states[:, 18]
        sound = normal(e, 0.0, np.sqrt(standing**2 + model**2))
        ln += sound
        ratios.append(odds + normal(e, 0.0, np.sqrt((WIDE * limit) ** 2 + model**2)) - sound)
        places.append(40)
        read = self.readings["product_salt_mg_kg"]
        scatter = np.sqrt(each**2 + step**2 / 12 / (read**2 + 4.0))
        ln += normal(np.arcsinh(read / 2.0), np.arcsinh(told[:, 5] * np.exp(e) / 2.0), scatter)
        # none, each, pairs on different unknowns
        ratios = np.array(ratios)
        terms = [np.zeros(len(states)), *ratios]
        for a, b in itertools.combinations(range(len(places)), 2):
            if places[a] != places[b]:
                terms.append(ratios[a] + ratios[b])
        terms = np.array(terms)
        most = terms.max(axis=0)
        ln += most + np.log(np.exp(terms - most).sum(axis=0))
        return np.where(np.isfinite(ln), ln, -np.inf)


def read_cases():
    cases = {}
    with open("cases.csv", newline="") as f:
        for row in csv.DictReader(f):
            cases.setdefault(row["case"], {})[row["name"]] = float(row["value"])
    return cases


def main():
    plant = Plant(sys.argv[1])
    rng = np.random.default_rng(SEED)
    np.random.seed(SEED)
    out = open("posterior.csv", "w", newline="")
    table = csv.writer(out, lineterminator="\n")
    table.writerow("case cause p_over p_error mean_u sd_u low high corr_with corr".split())
    for name, readings in read_cases().items():
        posterior = Posterior(plant, readings)
        start = np.array([posterior.start(rng) for _ in range(4 * WALKERS)])
        fine = np.isfinite(posterior(start))
        start = start[fine][:WALKERS]
        moves = [(emcee.moves.DEMove(), 0.6), (emcee.moves.DESnookerMove(), 0.15), (emcee.moves.StretchMove(), 0.25)]
        sampler = emcee.EnsembleSampler(len(start), posterior.SIZE, posterior, moves=moves, vectorize=True)
        print(name, "begins", flush=True)
        state = sampler.run_mcmc(start, BURN, progress=False)
        print(name, "settled", flush=True)
        sampler.reset()
        sampler.run_mcmc(state, STEPS, thin_by=1, progress=False)
        chain = sampler.get_chain(thin=THIN)
        flat = chain.reshape(-1, posterior.SIZE)
        tau = sampler.get_autocorr_time(quiet=True, tol=0)
        print(name, "accepted", sampler.acceptance_fraction.mean().round(3), "tau", tau.max().round(0), flush=True)
        for i, cause in enumerate(CAUSES):
            u = flat[:, UNKNOWN[i]]
            limit = u_of(cause, cause[5])
            over = (u - limit) * cause[6] > 0
            # spread of the probability over ten batches of the chain
            parts = np.array_split((chain[:, :, UNKNOWN[i]] - limit) * cause[6] > 0, 10)
            error = np.std([p.mean() for p in parts]) / np.sqrt(10)
            low, high = np.quantile(u, [0.05, 0.95])
            others = [j for j in range(11) if j != UNKNOWN[i]]
            corr = [np.corrcoef(u, flat[:, j])[0, 1] for j in others]
            best = int(np.argmax(np.abs(corr)))
            table.writerow([name, cause[0], f"{over.mean():.4f}", f"{error:.4f}", f"{u.mean():.5f}", f"{u.std():.5f}", f"{low:.5f}", f"{high:.5f}", others[best], f"{corr[best]:.4f}"])
        out.flush()


if __name__ == "__main__":
    main()

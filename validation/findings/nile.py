"""Annual flow of the Nile at Aswan, 1871 to 1970, under the local level model: smoothed level and its variance by statsmodels.

The variances are those published for this series by Durbin and Koopman (Time Series Analysis by State Space Methods, 2nd ed., Oxford 2012,
section 2.10): 15 099 of the reading, 1469.1 of the level's step. The first level is known to nothing (exact diffuse start).
"""

import csv
import statsmodels
from statsmodels.datasets import nile
from statsmodels.tsa.statespace.structural import UnobservedComponents

READING, STEP = 15099.0, 1469.1

series = nile.load_pandas().data
flow = series["volume"].to_numpy()
model = UnobservedComponents(flow, "local level", use_exact_diffuse=True)
result = model.smooth([READING, STEP])
with open("nile.csv", "w", newline="") as file:
    out = csv.writer(file, lineterminator="\n")
    out.writerow(["year", "flow_1e8_m3", "filtered", "filtered_variance", "smoothed", "smoothed_variance"])
    for i, year in enumerate(series["year"]):
        out.writerow([int(year), f"{flow[i]:.0f}"] + [
            f"{x:.6f}" for x in (
                result.filtered_state[0, i], result.filtered_state_cov[0, 0, i],
                result.smoothed_state[0, i], result.smoothed_state_cov[0, 0, i],
            )
        ])
print(statsmodels.__version__, "ln likelihood", result.llf)

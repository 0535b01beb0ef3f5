"""Makes atlas.csv: sea temperatures by month and salinities that others published, at named places.

Usage: python atlas.py FOLDER, which holds the wheels below (pip download --no-deps iris-sample-data==2.5.1 gsw==3.6.19
statsmodels==0.14.5). None of these figures went into the fields of crates/ocean/data.
"""

import csv
import io
import sys
import zipfile
from pathlib import Path

import netCDF4
import numpy as np

# Nodes of the analysis's own grid: name, latitude, longitude.
OSTIA = [
    ("Gulf of Guinea", 0.0, 5.0),
    ("Atlantic Narrows", 0.0, 335.0),
    ("Indian Ocean, south of Ceylon", 2.2222, 80.0),
    ("South China Sea, off Borneo", 3.3333, 107.5),
    ("Bismarck Sea", -3.8889, 148.3333),
    ("Line Islands", 0.0, 200.0),
    ("East Pacific on the line", 0.0, 250.0),
]

# Salinities read in texts: place, latitude, longitude, from, to, source.
TEXTS = [
    ("Bermuda, off St David's Head", 32.2, -64.4, 36.183, 36.824,
     "Carleton University, Hooper Virtual Museum, Bermuda: the open ocean 15 miles south-east, lowest in November, highest in July"),
    ("Helgoland roads", 54.2, 7.9, 31.38, 32.99,
     "DHI, monthly means of 1927-1936 at Helgoland-Reede: lowest in May, highest in January"),
    ("Red Sea on 17 N", 17.0, 40.0, 38.0, 38.0, "lecture notes Salinity in the Red Sea, along its axis"),
    ("Red Sea on 22 N", 22.0, 38.0, 39.0, 39.0, "lecture notes Salinity in the Red Sea, along its axis"),
    ("Red Sea on 26 N", 26.0, 35.5, 40.0, 40.0, "lecture notes Salinity in the Red Sea, along its axis"),
]

# Mean sea temperatures read in texts: place, latitude, longitude, what, month, figure, source. The North Sea's is that of its
# whole area: the month of 2019 less its departure from 1971-1993, both as the cruise report gives them.
TEXT_TEMPS = [
    ("off Faro", 36.9, -8.0, "sst_c", 6, 19.6, "Portuguese Navy, Instituto Hidrografico, buoys 2000-2020 (press, July 2023)"),
    ("off Sines", 37.9, -9.0, "sst_c", 6, 17.5, "Portuguese Navy, Instituto Hidrografico, buoys 2000-2020 (press, July 2023)"),
    ("off Leixoes", 41.2, -9.0, "sst_c", 6, 16.6, "Portuguese Navy, Instituto Hidrografico, buoys 2000-2020 (press, July 2023)"),
    ("North Sea", 56.0, 3.0, "sst_north_sea_c", 1, 6.6, "BSH, cruise report 2019: 7.6 less 1.0"),
    ("North Sea", 56.0, 3.0, "sst_north_sea_c", 8, 15.1, "BSH, cruise report 2019: 16.7 less 1.6"),
]

# The three casts by which the equation of state of 2010 is checked: names are ours.
CASTS = ["West Pacific, north of Yap", "Central Pacific, north of Howland", "Baltic, north of Gotland"]


def wheel(folder, name):
    found = sorted(Path(folder).glob(f"{name}-*.whl"))
    if not found:
        sys.exit(f"{folder}: no {name}-*.whl; pip download --no-deps {name}")
    return zipfile.ZipFile(found[-1])


def ostia(folder):
    data = wheel(folder, "iris_sample_data").read("iris_sample_data/sample_data/ostia_monthly.nc")
    file = netCDF4.Dataset("ostia", memory=data)
    lat, lon = file["latitude"][:], file["longitude"][:]
    times = netCDF4.num2date(file["time"][:], file["time"].units)
    months = np.array([t.month for t in times])
    field = file["surface_temperature"][:]
    for name, at_lat, at_lon in OSTIA:
        i, j = np.argmin(abs(lat - at_lat)), np.argmin(abs(lon - at_lon))
        series = field[:, i, j] - 273.15
        for month in range(1, 13):
            of_month = series[months == month]
            yield (name, float(lat[i]), float(lon[j]), "sst_c", month, float(of_month.mean()),
                   float(of_month.mean()), f"OSTIA, mean of {len(of_month)} months 2006-2010")


def elnino(folder):
    text = wheel(folder, "statsmodels").read("statsmodels/datasets/elnino/elnino.csv").decode()
    rows = list(csv.reader(io.StringIO(text)))[1:]
    years = np.array([[float(x) for x in row[1:]] for row in rows])
    for month in range(12):
        mean = float(np.nanmean(years[:, month]))
        yield ("off Peru and Ecuador, 0-10 S, 90-80 W", -5.0, -85.0, "sst_region_c", month + 1, mean, mean,
               "NOAA ERSST v3b, Nino 1+2, mean of 1950-2010")


def casts(folder):
    data = np.load(io.BytesIO(wheel(folder, "gsw").read("gsw/tests/gsw_cv_v3_0.npz")))
    lats, lons = data["lat_chck_cast"], data["long_chck_cast"]
    for i, name in enumerate(CASTS):
        salt = float(data["SP_chck_cast"][0, i])
        yield (name, float(lats[i]), float(lons[i]), "salinity", 0, salt, salt, "TEOS-10 check cast, at the surface")


def main():
    folder = sys.argv[1]
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(["name", "lat", "lon", "what", "month", "low", "high", "source"])
    rows = [*ostia(folder), *elnino(folder), *casts(folder)]
    rows += [(name, lat, lon, "salinity", 0, low, high, source) for name, lat, lon, low, high, source in TEXTS]
    rows += [(name, lat, lon, what, month, c, c, source) for name, lat, lon, what, month, c, source in TEXT_TEMPS]
    for name, lat, lon, what, month, low, high, source in rows:
        out.writerow([name, f"{lat:.4f}", f"{lon:.4f}", what, month, f"{low:.3f}", f"{high:.3f}", source])


main()

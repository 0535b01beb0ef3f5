"""Makes gshhg.csv: seeded positions at sea near land and their distance from the full-resolution GSHHG coast, on WGS-84.

Usage: python gshhg.py FOLDER, which holds gmt-gshhg-full_2.3.7-6_all.deb (apt-get download gmt-gshhg-full) and the
pybacktrack wheel of crates/ocean/data/build.py, whose depths tell sea from land. GSHHG itself is not kept.
"""

import hashlib
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

import netCDF4
import numpy as np
from geographiclib.geodesic import Geodesic
from scipy.spatial import cKDTree

GSHHG = "gmt-gshhg-full_2.3.7-6_all.deb"
ETOPO = "pybacktrack-1.5.0-py3-none-any.whl"
POINTS, NEAR_NMI, SEED = 3000, 60.0, 20261126
A, E2 = 6378137.0, (2 - 1 / 298.257223563) / 298.257223563


def in_space(lon, lat):
    """Points on the ellipsoid, m."""
    lon, lat = np.radians(lon), np.radians(lat)
    normal = A / np.sqrt(1 - E2 * np.sin(lat) ** 2)
    return np.stack([normal * np.cos(lat) * np.cos(lon), normal * np.cos(lat) * np.sin(lon), normal * (1 - E2) * np.sin(lat)], 1)


def coast(path):
    """Every point of the sea's coasts (level 1), and whether it is joined to the next."""
    with netCDF4.Dataset(path) as data:
        data.set_auto_mask(False)
        lon = data["Relative_longitude_from_SW_corner_of_bin"][:].astype(np.uint16) / 65535
        lat = data["Relative_latitude_from_SW_corner_of_bin"][:].astype(np.uint16) / 65535
        info, first = data["Embedded_npts_levels_exit_entry_for_a_segment"][:], data["Id_of_first_point_in_a_segment"][:]
        begin, count = data["Id_of_first_segment_in_a_bin"][:], data["N_segments_in_a_bin"][:]
    lons, lats, joined = [], [], []
    for cell in np.flatnonzero(count):
        row, col = divmod(int(cell), 360)
        for segment in range(begin[cell], begin[cell] + count[cell]):
            points = int(info[segment]) >> 9
            if int(info[segment]) >> 6 & 7 != 1:
                continue
            inside = slice(first[segment], first[segment] + points)
            lons.append(col + lon[inside])
            lats.append(89 - row + lat[inside])
            joined.append(np.arange(points) < points - 1)
    return np.concatenate(lons), np.concatenate(lats), np.concatenate(joined)


def main():
    folder, work = Path(sys.argv[1]), Path(tempfile.mkdtemp())
    for name in (GSHHG, ETOPO):
        print(name, hashlib.sha256((folder / name).read_bytes()).hexdigest())
    subprocess.run(["dpkg-deb", "-x", folder / GSHHG, work], check=True)
    grid = zipfile.ZipFile(folder / ETOPO).extract("pybacktrack/bundle_data/topography/ETOPO1_0.1.grd", work)
    with netCDF4.Dataset(grid) as data:
        height = data["z"][:]
    lon, lat, joined = coast(work / "usr/share/gmt-gshhg/binned_GSHHS_f.nc")
    space = in_space(lon, lat)
    tree = cKDTree(space)
    rng = np.random.default_rng(SEED)
    rows = []
    while len(rows) < POINTS:
        at_lat = float(np.round(np.degrees(np.arcsin(rng.uniform(np.sin(np.radians(-60)), np.sin(np.radians(75))))), 5))
        at_lon = float(np.round(rng.uniform(-180, 180), 5))
        if height[round((at_lat + 90) * 10), round(at_lon % 360 * 10)] >= 0:
            continue
        here = in_space(np.array([at_lon]), np.array([at_lat]))[0]
        gaps, near = tree.query(here, k=64)
        if gaps[0] > NEAR_NMI * 1852 * 1.02:
            continue
        best, where = gaps[0], space[near[0]]
        for i in {int(k) for n in near for k in (n, n - 1) if k >= 0 and joined[k]}:
            step = space[i + 1] - space[i]
            square = step @ step
            along = np.clip((here - space[i]) @ step / square, 0, 1) if square else 0.0
            point = space[i] + along * step
            gap = np.linalg.norm(point - here)
            if gap < best:
                best, where = gap, point
        p = np.hypot(where[0], where[1])
        to_lat, to_lon = np.degrees(np.arctan2(where[2] / (1 - E2), p)), np.degrees(np.arctan2(where[1], where[0]))
        distance = Geodesic.WGS84.Inverse(at_lat, at_lon, to_lat, to_lon)["s12"] / 1852
        if distance < NEAR_NMI:
            rows.append(f"{at_lat:.5f},{at_lon:.5f},{distance:.3f}")
    Path(__file__).with_name("gshhg.csv").write_text("\n".join(["lat,lon,distance_nmi", *rows]) + "\n")


main()

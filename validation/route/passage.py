"""Makes waypoints.csv and positions.csv: a long passage by great circles, distance run and places from GeographicLib.

Usage: python passage.py (requirements.txt)
"""

from pathlib import Path

from geographiclib.geodesic import Geodesic

HERE = Path(__file__).parent
WGS84 = Geodesic.WGS84
M_PER_NMI = 1852.0
SPEED_KN = 13.2

# New South Wales to Tokyo Bay east of New Guinea, latitude and longitude in degrees; positions of open water, ours.
TRACK = [
    (-32.95, 151.85), (-32.75, 153.10), (-28, 155.6), (-20, 157.4), (-12, 156.4), (-9.2, 155.0), (-5.6, 153.7),
    (-4.3, 153.93), (-3.3, 153.85), (0, 153.7), (4, 154.3), (6.2, 154.3), (9.5, 152.7), (14.5, 148.2), (24, 144.3),
    (33, 141.5), (34.70, 140.30), (34.72, 139.83), (34.95, 139.68), (35.10, 139.75), (35.24, 139.79), (35.34, 139.70),
]


def main():
    lines = [WGS84.InverseLine(*a, *b) for a, b in zip(TRACK, TRACK[1:])]
    run = [0.0]
    for line in lines:
        run.append(run[-1] + line.s13)
    with open(HERE / "waypoints.csv", "w", newline="\n") as out:
        out.write("lat_deg,lon_deg,run_nmi\n")
        for (lat, lon), m in zip(TRACK, run):
            out.write(f"{lat},{lon},{m / M_PER_NMI:.9f}\n")
    with open(HERE / "positions.csv", "w", newline="\n") as out:
        out.write("hours,lat_deg,lon_deg\n")
        for step in range(0, 46):
            hours = step * 7.25
            m = hours * SPEED_KN * M_PER_NMI
            leg = max(i for i in range(len(lines)) if run[i] <= m)
            there = lines[leg].Position(m - run[leg])
            out.write(f"{hours},{there['lat2']:.9f},{there['lon2']:.9f}\n")


main()

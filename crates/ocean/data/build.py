"""Makes coast.bin, depth.bin, sea_temperature.bin and salinity.bin from public sources, byte for byte the same each time.

Usage: python build.py INPUTS, a folder that holds the four packages INPUT names, as fetched by
    apt-get download xtide-coastline ferret-datasets
    pip download pybacktrack==1.5.0 --no-deps
    npm pack world-atlas@2.0.2
with requirements.txt installed and dpkg-deb at hand. SOURCE says what the inputs are and what was done to them.
"""

import hashlib
import json
import struct
import subprocess
import sys
import tarfile
import tempfile
import zipfile
import zlib
from collections import defaultdict
from pathlib import Path

import netCDF4
import numpy as np

INPUT = {
    "xtide-coastline_20020202-1.2_all.deb": "6b978489776cc18e273213a88fadf57de19f19d9c892cc214e5ae83138d0f85b",
    "ferret-datasets_7.6.0-5_all.deb": "e5770222647ebfe2ab77b845e07a7e05cb6fed7b12dec9ae287a1f8046031744",
    "pybacktrack-1.5.0-py3-none-any.whl": "978d0f11b0fa12bdcffef43e66487c5caf28a0f84a8eccbf5c9b253e5d389193",
    "world-atlas-2.0.2.tgz": "032e7765f2ce00edaeafec23ff22bc3b77e42987c257da944cc585b452c05b97",
}

# Coast: points are kept so that no source point is further than this from the kept line.
TOLERANCE_NMI = 0.3
# A kept line is a straight chord in space: short enough to dip less than 12 m below the sea.
LONGEST_NMI = 12.0
# Units of a degree in which the kept points are written: 7.2".
PER_DEGREE = 500
RADIUS_NMI = 6371.0088 / 1.852

# Natural Earth fills what the World Vector Shoreline lacks: boxes of south, north, west, east.
FROM_NATURAL_EARTH = {
    "Caspian Sea": (36.3, 47.3, 46.3, 54.9),
    "St Peter and St Paul Rocks": (0.6, 1.2, -29.6, -29.0),
    "Shag Rocks and Black Rock": (-54.0, -53.2, -42.5, -41.5),
    "Clerke Rocks": (-55.3, -54.8, -35.0, -34.4),
    "Ceva-i-Ra": (-22.0, -21.5, 174.4, 174.9),
}

# Islands that neither has, at the position commonly published for them, whole minutes (SOURCE says on what ground).
ISLANDS = {
    "Mapia Atoll": (0 + 50 / 60, 134 + 17 / 60),
    "Nukutepipi": (-(20 + 42 / 60), -(143 + 3 / 60)),
    "Anuanurunga": (-(20 + 38 / 60), -(143 + 19 / 60)),
    "Anuanuraro": (-(20 + 25 / 60), -(143 + 33 / 60)),
    "Nengonengo": (-(18 + 46 / 60), -(141 + 50 / 60)),
    "Temoe": (-(23 + 21 / 60), -(134 + 29 / 60)),
    "Manuk": (-(5 + 33 / 60), 130 + 18 / 60),
    "Herald Cays": (-(16 + 57 / 60), 149 + 11 / 60),
    "Didicas": (19 + 5 / 60, 122 + 12 / 60),
    "North Keeling": (-(11 + 50 / 60), 96 + 49 / 60),
    "Swallow Reef": (7 + 22 / 60, 113 + 50 / 60),
    "Fiery Cross Reef": (9 + 33 / 60, 112 + 53 / 60),
}

# Seas that the salinity atlas leaves out, practical salinity: south, north, west, east, value.
ENCLOSED_SEAS = {
    "Azov": (45.2, 47.5, 34.6, 39.5, 11.5),
    "Black Sea": (40.9, 47.2, 27.4, 42.0, 18.0),
    "Marmara": (40.2, 41.0, 26.9, 29.9, 23.0),
    "Caspian": (36.0, 48.0, 46.0, 55.0, 12.8),
    "Bothnian Bay": (63.0, 66.0, 19.0, 26.0, 3.2),
    "Gulf of Finland, east": (59.0, 61.0, 26.5, 30.5, 3.5),
}


def checked(folder, name):
    """The path of an input whose bytes are the expected ones."""
    path = folder / name
    found = hashlib.sha256(path.read_bytes()).hexdigest()
    if found != INPUT[name]:
        sys.exit(f"{path}: SHA-256 {found}, wanted {INPUT[name]}")
    return path


def unpacked(folder):
    """The files needed, taken out of their packages."""
    out = Path(tempfile.mkdtemp())
    for name in INPUT:
        path = checked(folder, name)
        if name.endswith(".deb"):
            subprocess.run(["dpkg-deb", "-x", path, out], check=True)
        elif name.endswith(".whl"):
            zipfile.ZipFile(path).extract("pybacktrack/bundle_data/topography/ETOPO1_0.1.grd", out)
        else:
            tarfile.open(path).extract("package/land-10m.json", out, filter="data")
    data = out / "usr/share/ferret-vis/data"
    return {
        "wvs": out / "usr/share/xtide-wvs/wvs1.dat",
        "coads": data / "coads_climatology.cdf",
        "woa": data / "ocean_atlas_subset.nc",
        "levitus": data / "levitus_climatology.cdf",
        "etopo": out / "pybacktrack/bundle_data/topography/ETOPO1_0.1.grd",
        "land": out / "package/land-10m.json",
    }


# --- coast -----------------------------------------------------------------------------------------------------------

RECORD = 64  # bytes: 60 of data, one that says where the data end, three that say which record goes on


def cell_bytes(file, first):
    """The data of one cell of a degree, its chained records put together. Records count from 1."""
    out, record = bytearray(), first
    while True:
        start = (record - 1) * RECORD
        data, end = file[start : start + RECORD - 4], file[start + RECORD - 4]
        if end:
            return out + data[: end - 1]
        out += data
        record = int.from_bytes(file[start + RECORD - 3 : start + RECORD], "big")


def world_vector_shoreline(path):
    """Polylines of (longitude, latitude) in seconds of arc from 180 W and 90 S."""
    file = path.read_bytes()
    if file[3] != RECORD or file[5] != 1 or any(file[6:14]):
        sys.exit(f"{path}: not the whole world in seconds and records of {RECORD} bytes")
    bitmap = np.unpackbits(np.frombuffer(file[RECORD : RECORD + 180 * 360 // 8], np.uint8))
    first = 2 + -(-180 * 360 // (8 * RECORD))
    lines = []
    for cell in np.flatnonzero(bitmap):
        data, at, line = cell_bytes(file, first + int(cell)), 0, []
        south, west = divmod(int(cell), 360)
        while at + 6 <= len(data):
            head, low_lat, low_lon = struct.unpack_from(">HHH", data, at)
            at += 6
            further, count = head >> 15, (head >> 6 & 0x1FF) + 1
            if further:  # the line goes on after a step too wide for a byte
                lat += (head >> 3 & 7) * 65536 + low_lat - 262144
                lon += (head & 7) * 65536 + low_lon - 262144
            else:
                if line:
                    lines.append(line)
                line, lat, lon = [], south * 3600 + low_lat, west * 3600 + low_lon
            line.append((lon, lat))
            for _ in range(min(count - 1, (len(data) - at) // 2)):
                lat += data[at] - 128
                lon += data[at + 1] - 128
                line.append((lon, lat))
                at += 2
        if line:
            lines.append(line)
    return [np.array(line) for line in lines]


def natural_earth(path):
    """Rings of the filling boxes, in seconds of arc from 180 W and 90 S."""
    topology = json.loads(path.read_text())
    scale, origin = np.array(topology["transform"]["scale"]), np.array(topology["transform"]["translate"])
    lines = []
    for arc in topology["arcs"]:
        degrees = np.cumsum(np.array(arc), axis=0) * scale + origin
        (west, south), (east, north) = degrees.min(0), degrees.max(0)
        for box in FROM_NATURAL_EARTH.values():
            if south > box[0] and north < box[1] and west > box[2] and east < box[3]:
                lines.append(np.round((degrees + [180, 90]) * 3600).astype(np.int64))
    return lines


def distinct(points):
    """Without points that repeat the one before."""
    keep = np.append(True, (np.diff(points, axis=0) != 0).any(1))
    return points[keep]


def joined(lines):
    """Lines that meet end to end made one."""
    ends = defaultdict(list)
    for index, line in enumerate(lines):
        ends[tuple(line[0])].append(index)
        ends[tuple(line[-1])].append(index)
    free = set(range(len(lines)))

    def next_at(end):
        return next((index for index in ends[end] if index in free), None)

    chains = []
    for index in range(len(lines)):
        if index not in free:
            continue
        free.remove(index)
        chain = [lines[index]]
        for side in (0, 1):  # on from the tail, then back from the head
            while tuple(chain[0][0]) != tuple(chain[-1][-1]):
                end = tuple(chain[0][0]) if side else tuple(chain[-1][-1])
                found = next_at(end)
                if found is None:
                    break
                free.remove(found)
                piece = lines[found]
                if tuple(piece[-1 if side else 0]) != end:
                    piece = piece[::-1]
                if side:
                    chain.insert(0, piece[:-1])
                else:
                    chain.append(piece[1:])
        chains.append(np.concatenate(chain))
    return chains


def in_space(points):
    """Points on the mean sphere, nautical miles."""
    lon, lat = np.radians(points / 3600.0 - [180, 90]).T
    return RADIUS_NMI * np.stack([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)], 1)


def simplified(points):
    """Douglas-Peucker over chords in space, and no chord longer than allowed while points remain."""
    if len(points) < 3:
        return points
    space = in_space(points)
    keep = np.zeros(len(points), bool)
    keep[[0, -1]] = True
    todo = [(0, len(points) - 1)]
    while todo:
        first, last = todo.pop()
        if last - first < 2:
            continue
        start, chord, inner = space[first], space[last] - space[first], space[first + 1 : last] - space[first]
        square = chord @ chord
        along = np.clip(inner @ chord / square, 0, 1) if square else np.zeros(len(inner))
        off = np.linalg.norm(inner - along[:, None] * chord, axis=1)
        worst = int(np.argmax(off))
        if off[worst] <= TOLERANCE_NMI:
            if square <= LONGEST_NMI**2:
                continue
            worst = int(np.argmin(np.abs(along - 0.5)))
        middle = first + 1 + worst
        keep[middle] = True
        todo += [(first, middle), (middle, last)]
    return points[keep]


def filled(points):
    """Points put in, straight on the plate, where the source itself has none for longer than a chord may be."""
    out = [points[:1]]
    for a, b in zip(points, points[1:]):
        parts = max(1, int(np.ceil(np.linalg.norm(np.diff(in_space(np.stack([a, b])), axis=0)) / LONGEST_NMI)))
        out.append(a + (b - a) * (np.arange(1, parts + 1) / parts)[:, None])
    return np.concatenate(out)


def varints(values):
    """Unsigned numbers, seven bits a byte, least first, the high bit where more follow."""
    out = bytearray()
    for value in values:
        while value >= 128:
            out.append(value & 127 | 128)
            value >>= 7
        out.append(value)
    return bytes(out)


def zigzag(values):
    """Signed numbers as unsigned ones: 0, -1, 1, -2, 2."""
    return ((values << 1) ^ (values >> 63)).tolist()


def coast(files):
    """Chains of coast; a chain of one point is an islet."""
    lines = [distinct(line) for line in world_vector_shoreline(files["wvs"])]
    chains = joined([line for line in lines if len(line) > 1]) + joined(natural_earth(files["land"]))
    islets = [line for line in lines if len(line) == 1]
    islets += [np.array([[round((lon + 180) * 3600), round((lat + 90) * 3600)]]) for lat, lon in ISLANDS.values()]
    whole = [filled(simplified(chain)) for chain in chains] + islets
    units = [distinct(np.round(chain / 3600 * PER_DEGREE).astype(np.int64)) for chain in whole]
    units.sort(key=lambda c: (int(c[0][1]) // PER_DEGREE, int(c[0][0]) // PER_DEGREE, int(c[0][1]), int(c[0][0]), len(c)))
    steps = np.diff(np.concatenate([[[180 * PER_DEGREE, 90 * PER_DEGREE]], *units]), axis=0)
    counts, east, north = varints(len(c) for c in units), varints(zigzag(steps[:, 0])), varints(zigzag(steps[:, 1]))
    print(f"coast: {len(units)} chains, {len(steps)} points")
    return struct.pack("<4I", len(units), len(steps), len(counts), len(east)) + counts + east + north


# --- fields ----------------------------------------------------------------------------------------------------------


def depth(files):
    """Nodes every 6' from 90 N and 180 W, 0 on land, else 1 to 127: steps of 5 % of depth plus 15 m."""
    with netCDF4.Dataset(files["etopo"]) as data:
        height = np.array(data["z"][:], float)
    height = np.roll(height[::-1, :3600], 1800, axis=1)  # the last meridian repeats the first
    below = np.where(height < 0, -height, 0)
    code = np.where(below > 0, np.clip(np.round(1 + 126 * np.log1p(below / 15) / np.log1p(11000 / 15)), 1, 127), 0).astype(np.int32)
    west, up, corner = (np.zeros_like(code) for _ in range(3))
    west[:, 1:], up[1:], corner[1:, 1:] = code[:, :-1], code[:-1], code[:-1, :-1]
    low, high = np.minimum(west, up), np.maximum(west, up)
    guess = np.where(corner >= high, low, np.where(corner <= low, high, west + up - corner))
    return code, ((code - guess) & 255).astype(np.uint8).tobytes()


def masked(variable):
    return np.ma.filled(np.ma.masked_invalid(np.ma.masked_less(variable[:].astype(float), -1e9)), np.nan)


def from_west(field, first_lon, step):
    """Columns turned so that the first is the one whose cell begins at 180 W."""
    return np.roll(field, -round((180 - (first_lon - step / 2)) / step), axis=-1)


def grown(field, rings):
    """Gaps beside values filled by the mean of their neighbours, corners counting 0.7, this many cells out."""
    field = field.copy()
    for _ in range(rings):
        pad = np.pad(field, [(0, 0)] * (field.ndim - 2) + [(1, 1), (0, 0)], constant_values=np.nan)
        pad = np.concatenate([pad[..., -1:], pad, pad[..., :1]], axis=-1)
        total, weight = np.zeros_like(field), np.zeros_like(field)
        for j in range(3):
            for i in range(3):
                near = pad[..., j : j + field.shape[-2], i : i + field.shape[-1]]
                share = (0.0 if j == i == 1 else 1.0 if 1 in (j, i) else 0.7) * np.isfinite(near)
                total += np.where(np.isfinite(near), near, 0) * share
                weight += share
        field = np.where(np.isnan(field) & (weight > 0), total / np.maximum(weight, 1e-9), field)
    return field


def at_cell_centres(field, lon0, lat0, lons, lats):
    """Bilinear over the corners that have a value, from nodes every two degrees."""
    x, y = ((lons - lon0) % 360) / 2, (lats - lat0) / 2
    i, j = np.floor(x).astype(int), np.floor(y).astype(int)
    total = weight = 0.0
    for dj in (0, 1):
        for di in (0, 1):
            rows, cols = np.clip(j + dj, 0, field.shape[-2] - 1), (i + di) % field.shape[-1]
            near = field[:, rows[:, None], cols[None, :]]
            share = (1 - np.abs(y - j - dj))[:, None] * (1 - np.abs(x - i - di))[None, :] * np.isfinite(near)
            total = total + np.where(np.isfinite(near), near, 0) * share
            weight = weight + share
    return np.where(weight > 0, total / np.maximum(weight, 1e-9), np.nan)


def stepped(values, scale):
    """Whole steps of a field with its gaps at zero, as little-endian differences, low bytes first, then high ones."""
    whole = np.round(np.nan_to_num(values) * scale).astype(np.int64)
    turned = whole.copy()
    turned[1:] -= whole[:-1]  # from the month, or the row, before
    if whole.ndim == 3:
        turned[0, :, 1:] -= whole[0, :, :-1]
    both = turned.astype("<i2").view(np.uint8).reshape(-1, 2)
    return both[:, 0].tobytes() + both[:, 1].tobytes()


def sea_temperature(files):
    """Twelve months of 2-degree cells from 90 S and 180 W, 0.1 C, before them the basis of each cell: 0 none, 1 grown, 2 data."""
    with netCDF4.Dataset(files["coads"]) as data:
        coads = from_west(masked(data["SST"]), 21, 2)
    with netCDF4.Dataset(files["woa"]) as data:
        woa = masked(data["TEMP"])[:, 0]
    lons, lats = np.arange(-179, 180, 2.0), np.arange(-89, 90, 2.0)
    woa = at_cell_centres(woa, 20.5, -89.5, lons, lats)
    months = np.isfinite(coads).sum(0)
    well_sailed = (months == 12) & ((lats > -42) & (lats < 62))[:, None]
    field = np.where(well_sailed, coads, woa)
    angle = 2 * np.pi * (np.arange(12) + 0.5) / 12
    wave = np.stack([np.ones(12), np.cos(angle), np.sin(angle)], 1)
    for j, i in zip(*np.nonzero((months >= 8) & np.isnan(field).any(0))):
        seen = np.isfinite(coads[:, j, i])
        fit = np.linalg.lstsq(wave[seen], coads[seen, j, i], rcond=None)[0]
        field[:, j, i] = np.where(seen, coads[:, j, i], wave @ fit)
    field[:, np.isnan(field).any(0)] = np.nan
    field = np.maximum(field, -1.9)
    whole = grown(field, 2)
    basis = np.isfinite(whole[0]).astype(np.uint8) + np.isfinite(field[0])
    return basis.astype(np.uint8).tobytes() + stepped(whole, 10)


def salinity(files, depth_code):
    """Annual surface salinity, 1-degree cells from 90 S and 180 W, 0.05, before them the basis of each cell as for temperature."""
    with netCDF4.Dataset(files["levitus"]) as data:
        field = from_west(masked(data["SALT"])[0], 20.5, 1)
    # A cell has water where a depth node in it has; nodes run from 90 N.
    water = (depth_code[:-1][::-1].reshape(180, 10, 360, 10) > 0).any((1, 3))
    lons, lats = np.arange(-179.5, 180), np.arange(-89.5, 90)
    whole = field.copy()
    for south, north, west, east, value in ENCLOSED_SEAS.values():
        box = ((lats > south) & (lats < north))[:, None] & ((lons > west) & (lons < east))[None, :]
        whole[box & water & np.isnan(whole)] = value
    whole = grown(whole, 2)
    basis = np.isfinite(whole).astype(np.uint8) + np.isfinite(field)
    return basis.astype(np.uint8).tobytes() + stepped(whole, 20)


def main():
    files = unpacked(Path(sys.argv[1]))
    code, depths = depth(files)
    made = {
        "depth.bin": depths,
        "sea_temperature.bin": sea_temperature(files),
        "salinity.bin": salinity(files, code),
        "coast.bin": coast(files),
    }
    for name, raw in made.items():
        packed = zlib.compress(raw, 9)
        Path(__file__).with_name(name).write_bytes(packed)
        print(f"| {name} | {len(raw)} | {len(packed)} | {hashlib.sha256(packed).hexdigest()} |")


main()

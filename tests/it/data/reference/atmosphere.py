"""Writes atmosphere.json from the PyPI package `ambiance` (ICAO 1993; the U.S. Standard Atmosphere 1976 is equal here).

The package takes geometric height, the model's altitude is geopotential: the package's own conversion stands between.
"""

import json
from importlib.metadata import version
from pathlib import Path

from ambiance import Atmosphere
from model import air


def main():
    rows, worst = [], 0.0
    for h in range(0, 11001, 500):
        a = Atmosphere(Atmosphere.geop2geom_height(float(h)))
        got = [float(v[0]) for v in (a.temperature, a.pressure, a.density, a.speed_of_sound)]
        worst = max(worst, *(abs(g / m - 1.0) for g, m in zip(got, air(float(h)))))
        rows.append({"altitude_m": float(h), **dict(zip(("temperature_k", "pressure_pa", "density_kg_m3",
                                                         "speed_of_sound_mps"), got))})
    source = (f"atmosphere.py; PyPI package ambiance {version('ambiance')}, heights converted from geopotential to "
              "geometric by its geop2geom_height; to compare with the U.S. Standard Atmosphere 1976 (NOAA-S/T 76-1562)")
    out = {"source": source, "rows": rows}
    Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=1) + "\n", encoding="utf-8")
    print(f"{len(rows)} rows; largest relative difference from model.py {worst:.1e}")


if __name__ == "__main__":
    main()

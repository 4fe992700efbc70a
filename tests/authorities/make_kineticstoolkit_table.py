"""Write kineticstoolkit_butterworth.csv: a noisy wave and what kineticstoolkit 0.17.0 makes of it.

Run by itself: `python make_kineticstoolkit_table.py` where kineticstoolkit 0.17.0 (PyPI, Apache 2.0) is installed. It
brings Qt and is not a dependency of the checks. Columns: time (s), noisy wave, `kineticstoolkit.filters.butter` with
fc = 6 / 0.802 Hz, order 2, forward and back.
"""

from pathlib import Path

import kineticstoolkit as ktk
import numpy as np

rng = np.random.default_rng(7)
times = np.arange(180) / 60
wave = 50 * np.sin(2 * np.pi * 0.8 * times) + 10 * np.sin(2 * np.pi * 3 * times) + rng.normal(0, 1.5, len(times))
series = ktk.TimeSeries(time=times, data={"wave": wave})
smooth = ktk.filters.butter(series, fc=6 / (np.sqrt(2) - 1) ** 0.25, order=2, filtfilt=True).data["wave"]
np.savetxt(
    Path(__file__).with_name("kineticstoolkit_butterworth.csv"),
    np.stack([times, wave, smooth], axis=1),
    fmt=["%.6f", "%.5f", "%.5f"],
    delimiter=",",
    header="time_s,wave,butterworth",
    comments="",
)

"""How much memory the long acts take in a small and in a large archive.

Run it on a quiet machine::

    python tests/benchmarks/archive_memory.py [--at PLACE] [--files FOLDER] [--lessons 1000 8000] [--acts check backup]

Each act is done in a process of its own; its peak of memory and its time are printed, beside that of a process that
only opens the archive. Archives are made by `big_archive.py` without rows of files, as there are no files; or the one
at `--at` is asked. Nothing is asserted.
"""

import argparse
import subprocess
import sys
import tempfile

from big_archive import TODAY, make_rows

from putt_posture.archive import open_archive

ACTS = {
    "open": "",
    "check": "found = len(check_archive(archive, read_files=False))",
    "retention": "found = len(find_overdue(archive, today=today).pictures)",
    "overview": "found = load_overview(archive, today=today).students",
    "backup": "found = back_up(archive, out / 'backup', today=today).files",
    "export, CSV and Parquet": "found = sum(export_archive(archive, out / 'tables', today=today).rows.values())",
    "export, Parquet": "found = sum(export_archive(archive, out / 'only', today=today, csv=False).rows.values())",
}
RUN = """
import sys, time
from datetime import date
from putt_posture.archive import *
import pandas, pyarrow.parquet, putt_posture.archive.export.whole_archive  # in each, so that they do not count
today, out, found = date.fromisoformat(sys.argv[2]), Path(sys.argv[3]), 0
start, cpu = time.perf_counter(), time.process_time()
with open_archive(sys.argv[1], files=sys.argv[4] or None, make=False) as archive:
    ACT
took, cpu = time.perf_counter() - start, time.process_time() - cpu
peak = [line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM")]
print(took, cpu, int(peak[0].split()[1]) / 1024, found)
"""


def do(act: str, at: str, files: str | None) -> tuple[float, float, float, int]:
    """Do one act in a process of its own; return seconds, processor seconds, MiB at the peak, and what it found."""
    with tempfile.TemporaryDirectory() as out:
        command = [
            sys.executable,
            "-c",
            RUN.replace("ACT", ACTS[act] or "pass"),
            at,
            TODAY.isoformat(),
            out,
            files or "",
        ]
        said = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return float(said[0]), float(said[1]), float(said[2]), int(said[3])


def show(at: str, files: str | None, acts: list[str]) -> None:
    print(f"{'act':26s} {'s':>8s} {'cpu s':>8s} {'MiB':>7s}  found or written")
    for act in acts:
        seconds, processor, peak, found = do(act, at, files)
        print(f"{act:26s} {seconds:8.1f} {processor:8.1f} {peak:7.0f}  {found:,}", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--at", help="an archive that big_archive.py made: its folder or URL")
    parser.add_argument("--files", help="the folder of its files, for a URL")
    parser.add_argument("--lessons", type=int, nargs="+", default=[1_000, 8_000], help="of the archives that are made")
    parser.add_argument("--acts", nargs="+", choices=list(ACTS), default=list(ACTS))
    options = parser.parse_args()
    if options.at:
        show(options.at, options.files, options.acts)
        return
    for lessons in options.lessons:
        with tempfile.TemporaryDirectory() as made:
            with open_archive(made) as archive:
                make_rows(archive, students=lessons // 8, lessons=lessons, file_rows=False)
            print(f"\n{lessons:,} lessons")
            show(made, None, options.acts)


if __name__ == "__main__":
    main()

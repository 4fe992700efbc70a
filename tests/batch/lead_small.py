"""Leads a run of small lessons in processes of this machine, to be killed by a test: ``lead_small.py PLAN``."""

import pickle
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))
sys.path.insert(0, str(Path(__file__).parent))

from filed import TODAY
from small_lessons import beginning

from putt_posture.archive import open_archive
from putt_posture.batch import Ledger, Limits, find_work_folder, open_executor, run_batch


def main(plan):
    with open(plan, "rb") as stream:
        place, lessons, jobs, limits = pickle.load(stream)
    with (
        open_archive(place) as archive,
        Ledger(find_work_folder(archive.place)) as ledger,
        open_executor(workers=2) as pool,
    ):
        for outcome in run_batch(
            archive, lessons, ledger=ledger, pool=pool, today=TODAY, limits=Limits(**limits), begin=beginning(jobs)
        ):
            print(outcome.where, outcome.state, outcome.tries, outcome.says, sep="\t", flush=True)


if __name__ == "__main__":
    main(sys.argv[1])

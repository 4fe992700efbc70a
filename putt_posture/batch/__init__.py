"""Many lessons into one archive: from a list or a folder of clips, on this machine's processes or on a cluster."""

from putt_posture.batch.archived import AgainLesson, read_archive
from putt_posture.batch.executors import Pool, open_executor
from putt_posture.batch.ledger import Ledger, LedgerEntry, find_work_folder
from putt_posture.batch.lessons import BatchLesson, read_folder, read_list
from putt_posture.batch.limits import Limits, count_workers
from putt_posture.batch.running import BatchOutcome, run_batch
from putt_posture.batch.watching import Watch, WatchRules, open_watch, run_watch

__all__ = [
    "AgainLesson",
    "BatchLesson",
    "BatchOutcome",
    "Ledger",
    "LedgerEntry",
    "Limits",
    "Pool",
    "Watch",
    "WatchRules",
    "count_workers",
    "find_work_folder",
    "open_executor",
    "open_watch",
    "read_archive",
    "read_folder",
    "read_list",
    "run_batch",
    "run_watch",
]

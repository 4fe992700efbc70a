from .before_camera import HeldPictures, check_hold, join_held, prepare_live
from .comparing import compare, lay_out_comparison, lay_out_marked, lay_out_stages, open_lessons
from .enrolling import GivenConsent, check_enrolment_with_consent, enrol
from .filing import Filed, Filing, file_folder, file_measured, find_filing_day, measure_and_file, prepare_job
from .filing_jobs import FilingJob, SharedArchive, share_archive
from .fitting import OpenFit, TriedFit, keep_wanted_in_archive, keep_wanted_in_folder, open_fit
from .giving_out import (
    export_archive,
    export_student,
    find_faces_to_hide,
    hide_kept_faces,
    lay_out_student_history,
    store_student_history,
)
from .jobs import Job, JobResult, LessonJob, run_job, run_jobs
from .measuring_again import MeasuredAgain, measure_again, measure_all_again
from .students import (
    StudentSummary,
    check_reason,
    describe,
    digest_overdue,
    erase,
    erase_past_time,
    load_summary,
    may_show_numbers,
)

__all__ = [
    "Filed",
    "Filing",
    "FilingJob",
    "GivenConsent",
    "HeldPictures",
    "Job",
    "JobResult",
    "LessonJob",
    "MeasuredAgain",
    "OpenFit",
    "SharedArchive",
    "StudentSummary",
    "TriedFit",
    "check_enrolment_with_consent",
    "check_hold",
    "check_reason",
    "compare",
    "describe",
    "digest_overdue",
    "enrol",
    "erase",
    "erase_past_time",
    "export_archive",
    "export_student",
    "file_folder",
    "file_measured",
    "find_faces_to_hide",
    "find_filing_day",
    "hide_kept_faces",
    "join_held",
    "keep_wanted_in_archive",
    "keep_wanted_in_folder",
    "lay_out_comparison",
    "lay_out_marked",
    "lay_out_stages",
    "lay_out_student_history",
    "load_summary",
    "may_show_numbers",
    "measure_again",
    "measure_all_again",
    "measure_and_file",
    "open_fit",
    "open_lessons",
    "prepare_job",
    "prepare_live",
    "run_job",
    "run_jobs",
    "share_archive",
    "store_student_history",
]

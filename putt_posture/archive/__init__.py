"""Students and their lessons over time: the database, and the files that belong to it.

Everything takes an open `Archive`, and each call is one transaction: all of it counts, or nothing.
"""

from putt_posture.archive.ages import age_on, is_minor
from putt_posture.archive.archive import Archive
from putt_posture.archive.backing_up import BackupSummary, back_up, restore
from putt_posture.archive.checking import Finding, check_archive
from putt_posture.archive.consents import (
    SCOPE_TITLES,
    SCOPES,
    Consent,
    Relation,
    Scope,
    add_consent,
    load_consents,
    withdraw_consent,
)
from putt_posture.archive.corrections import (
    CorrectedLandmark,
    FiledLandmarks,
    correct_landmark,
    load_landmarks,
    remove_correction,
)
from putt_posture.archive.erasing import Erased, erase_lesson, erase_student, load_erasures
from putt_posture.archive.exporting import Exported, check_outside, export_student
from putt_posture.archive.exporting_tables import export_archive
from putt_posture.archive.filing import Told, check_filing, file_lesson
from putt_posture.archive.frames import read_frames
from putt_posture.archive.histories import load_history
from putt_posture.archive.lessons import FiledLesson, load_lesson, load_lessons, open_lesson
from putt_posture.archive.opening import open_archive, upgrade_archive
from putt_posture.archive.overview import Overview, OverviewLine, load_overview, load_standing
from putt_posture.archive.place import ARCHIVE_VARIABLE, FILES_VARIABLE
from putt_posture.archive.practice import add_practice_test, remove_practice_test
from putt_posture.archive.retention import Overdue, erase_overdue, find_overdue
from putt_posture.archive.settings import Settings, change_settings, read_settings
from putt_posture.archive.students import (
    EnrolledStudent,
    FoundStudent,
    add_student,
    change_student,
    check_enrolment,
    find_students,
    load_student,
)

__all__ = [
    "ARCHIVE_VARIABLE",
    "FILES_VARIABLE",
    "SCOPES",
    "SCOPE_TITLES",
    "Archive",
    "BackupSummary",
    "Consent",
    "CorrectedLandmark",
    "EnrolledStudent",
    "Erased",
    "Exported",
    "FiledLandmarks",
    "FiledLesson",
    "Finding",
    "FoundStudent",
    "Overdue",
    "Overview",
    "OverviewLine",
    "Relation",
    "Scope",
    "Settings",
    "Told",
    "add_consent",
    "add_practice_test",
    "add_student",
    "age_on",
    "back_up",
    "change_settings",
    "change_student",
    "check_archive",
    "check_enrolment",
    "check_filing",
    "check_outside",
    "correct_landmark",
    "erase_lesson",
    "erase_overdue",
    "erase_student",
    "export_archive",
    "export_student",
    "file_lesson",
    "find_overdue",
    "find_students",
    "is_minor",
    "load_consents",
    "load_erasures",
    "load_history",
    "load_landmarks",
    "load_lesson",
    "load_lessons",
    "load_overview",
    "load_standing",
    "load_student",
    "open_archive",
    "open_lesson",
    "read_frames",
    "read_settings",
    "remove_correction",
    "remove_practice_test",
    "restore",
    "upgrade_archive",
    "withdraw_consent",
]

from .archive import Archive, check_outside
from .backup.back_up import back_up, restore
from .backup.check_backup import BackupSummary, check_backup
from .checking import CheckFault, check_archive
from .export.frames import read_frames
from .export.student import Exported, export_student
from .export.whole_archive import export_archive
from .lessons.corrections import CorrectedLandmark, FiledLandmarks, correct_landmark, load_landmarks, remove_correction
from .lessons.filing import LessonNotes, check_filing, file_lesson
from .lessons.histories import load_history
from .lessons.history_folder import lay_out_student_history, store_student_history
from .lessons.last_plan import take_up_last_plan
from .lessons.lessons import FiledLesson, load_lesson, load_lessons, open_lesson, show_as_allowed
from .lessons.measured_again import (
    FiledResult,
    find_lesson_of_clips,
    load_first_and_newest,
    load_newest_results,
    load_result,
)
from .lessons.practice import add_practice_test, load_practice, remove_practice_test
from .lessons.practice_beside import TESTS_COUNT_FOR, compare_last_with_tests
from .lessons.putters import ask_about_putter
from .opening import open_archive, upgrade_archive
from .people.consents import (
    ComingOfAge,
    add_consent,
    find_coming_of_age,
    find_doubts,
    load_consents,
    load_permission,
    withdraw_consent,
)
from .people.erasing import Erased, erase_lesson, erase_student, load_erasures
from .people.hiding import HiddenFaces, find_faces_to_hide, hide_kept_faces
from .people.overview import Overview, OverviewLine, load_overview, load_overview_line
from .people.permissions import SCOPE_TITLES, SCOPES, Consent, Permission, Relation, Scope, Showing, age_on, is_minor
from .people.retention import Overdue, OverduePictures, erase_overdue, find_overdue
from .people.students import (
    EnrolledStudent,
    FoundStudent,
    add_student,
    change_student,
    check_enrolment,
    find_students,
    load_student,
)
from .place import ARCHIVE_VARIABLE, FILES_VARIABLE
from .settings import Settings, change_settings, read_settings

__all__ = [
    "ARCHIVE_VARIABLE",
    "FILES_VARIABLE",
    "SCOPES",
    "SCOPE_TITLES",
    "TESTS_COUNT_FOR",
    "Archive",
    "BackupSummary",
    "CheckFault",
    "ComingOfAge",
    "Consent",
    "CorrectedLandmark",
    "EnrolledStudent",
    "Erased",
    "Exported",
    "FiledLandmarks",
    "FiledLesson",
    "FiledResult",
    "FoundStudent",
    "HiddenFaces",
    "LessonNotes",
    "Overdue",
    "OverduePictures",
    "Overview",
    "OverviewLine",
    "Permission",
    "Relation",
    "Scope",
    "Settings",
    "Showing",
    "add_consent",
    "add_practice_test",
    "add_student",
    "age_on",
    "ask_about_putter",
    "back_up",
    "change_settings",
    "change_student",
    "check_archive",
    "check_backup",
    "check_enrolment",
    "check_filing",
    "check_outside",
    "compare_last_with_tests",
    "correct_landmark",
    "erase_lesson",
    "erase_overdue",
    "erase_student",
    "export_archive",
    "export_student",
    "file_lesson",
    "find_coming_of_age",
    "find_doubts",
    "find_faces_to_hide",
    "find_lesson_of_clips",
    "find_overdue",
    "find_students",
    "hide_kept_faces",
    "is_minor",
    "lay_out_student_history",
    "load_consents",
    "load_erasures",
    "load_first_and_newest",
    "load_history",
    "load_landmarks",
    "load_lesson",
    "load_lessons",
    "load_newest_results",
    "load_overview",
    "load_overview_line",
    "load_permission",
    "load_practice",
    "load_result",
    "load_student",
    "open_archive",
    "open_lesson",
    "read_frames",
    "read_settings",
    "remove_correction",
    "remove_practice_test",
    "restore",
    "show_as_allowed",
    "store_student_history",
    "take_up_last_plan",
    "upgrade_archive",
    "withdraw_consent",
]

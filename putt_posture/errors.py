"""Every error that the caller can cause, in one tree.

Each message is one sentence or two: what was found, what was needed, what to do.

::

    PuttPostureError                 catches all of them
    ├── UsageError (ValueError)      an argument that cannot be used
    │   ├── ArgumentError (TypeError) an argument of the wrong type, or one that is not known
    │   ├── UnknownName (KeyError)   a name that was looked up and not found
    │   ├── AbsentNumber             an absent estimate where a number is needed
    │   ├── UnitError                a length, point or time that cannot be read
    │   ├── AlreadyFiled             a lesson that is in the archive already; carries ``lesson``
    │   ├── OutputError              a folder that cannot be written, or is in use
    │   └── SwappedViews             two clips, each given for the view that the other shows
    ├── ClipError                    a clip or still that cannot be used; carries ``path`` and ``time_s``
    │   ├── UnreadableClip           missing, empty, damaged, or not a picture or video
    │   └── ClipTooLarge             more pixels than the program takes
    ├── BucketAway                   a bucket that does not answer, which may be over in a minute
    ├── StudentNotFound              no person, only part of a body, or more than one likely student
    │   └── WrongView                the student, seen as in the other view
    ├── SetupNotFound                no quiet moment at address
    ├── SealError                    an encrypted file that does not open: another key, or altered
    ├── ArchiveError                 an archive that cannot be used, or does not hold what was asked for
    │   ├── ArchiveAway              it cannot be reached or has no room, which may be over in a minute
    │   ├── NotInArchive             no such student, lesson or test
    │   └── NotAllowed               something without consent
    ├── ClusterError                 a cluster that went away for good, or whose workers are not fit for the work
    ├── ProcessStopped               a process that the program started ended before its work was done
    │   ├── BeyondLimits             a job that took longer or more memory than it may
    │   └── ProcessKilled            it did not end by itself: something outside ended it
    └── InstallationError            a part of the program itself is missing or altered
"""

from pathlib import Path

__all__ = [
    "AbsentNumber",
    "AlreadyFiled",
    "ArchiveAway",
    "ArchiveError",
    "ArgumentError",
    "BeyondLimits",
    "BucketAway",
    "ClipError",
    "ClipTooLarge",
    "ClusterError",
    "InstallationError",
    "NotAllowed",
    "NotInArchive",
    "OutputError",
    "ProcessKilled",
    "ProcessStopped",
    "PuttPostureError",
    "SealError",
    "SetupNotFound",
    "StudentNotFound",
    "SwappedViews",
    "UnitError",
    "UnknownName",
    "UnreadableClip",
    "UsageError",
    "WrongView",
]


class PuttPostureError(Exception):
    """The root of every error that a caller may want to catch."""


class UsageError(PuttPostureError, ValueError):
    """An argument that cannot be used."""


class ArgumentError(UsageError, TypeError):
    """An argument of the wrong type, or one that the function does not have."""


class UnknownName(UsageError, KeyError):
    """A name that was looked up and not found; the message lists similar names."""

    def __str__(self) -> str:
        """Return the message itself; a plain `KeyError` would show it in quotes."""
        return str(self.args[0]) if self.args else ""


class AbsentNumber(UsageError):
    """An absent estimate where a number is needed; the message says why there is none."""


class UnitError(UsageError):
    """A length, point or time that cannot be read."""


class OutputError(UsageError):
    """A folder that cannot be written or is already in use."""


class SwappedViews(UsageError):
    """Two clips, each given for the view that the other shows."""


class ClipError(PuttPostureError):
    """A clip or still that cannot be used.

    Parameters
    ----------
    message : str
        What was found, what was needed, what to do.
    path : Path, optional
        The file.
    time_s : float, optional
        Seconds into the clip, where that is known.
    """

    def __init__(self, message: str, *, path: Path | None = None, time_s: float | None = None) -> None:
        super().__init__(message)
        self.path = path
        self.time_s = time_s


class UnreadableClip(ClipError, OSError):
    """A file that is missing, empty, damaged, or not a picture or video.

    Parameters
    ----------
    message : str
        What was found, what was needed, what to do.
    path : Path, optional
        The file.
    time_s : float, optional
        Seconds into the clip, where that is known.
    """

    def __init__(self, message: str, *, path: Path | None = None, time_s: float | None = None) -> None:
        ClipError.__init__(self, message, path=path, time_s=time_s)


class ClipTooLarge(ClipError):
    """More pixels than the program takes."""


class BucketAway(PuttPostureError):
    """A bucket that does not answer; the same act may succeed in a minute."""


class StudentNotFound(ClipError):
    """No person, only part of a body, or more than one likely student."""


class WrongView(StudentNotFound):
    """The student, seen as in the other view, by one clip."""


class SetupNotFound(ClipError):
    """No quiet moment at address."""


class ClusterError(PuttPostureError):
    """A cluster that went away for good, or whose workers are not fit for the work."""


class ArchiveError(PuttPostureError):
    """An archive that cannot be used, or does not hold what was asked for."""


class ArchiveAway(ArchiveError):
    """An archive that cannot be reached or has no room; the same act may succeed in a minute."""


class NotInArchive(ArchiveError, LookupError):
    """No such student, lesson or test."""


class NotAllowed(ArchiveError):
    """Something without consent, or a consent that is not valid."""


class ProcessStopped(PuttPostureError):
    """A process that the program started ended before its work was done."""


class BeyondLimits(ProcessStopped):
    """A job that took longer or more memory than it may, and was ended."""


class ProcessKilled(ProcessStopped):
    """A process that something outside ended: a person, the system for lack of memory, or a machine that was lost."""


class AlreadyFiled(UsageError):
    """A lesson that is in the archive already.

    Parameters
    ----------
    message : str
    lesson : int
        Its number.
    """

    def __init__(self, message: str, *, lesson: int) -> None:
        super().__init__(message)
        self.lesson = lesson


class SealError(PuttPostureError):
    """An encrypted file that does not open: the passphrase or key is wrong, or the file was altered or cut off."""


class InstallationError(PuttPostureError):
    """A part of the program itself is missing or altered."""

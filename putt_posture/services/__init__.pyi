from putt_posture.archive.export.student import Exported as Exported

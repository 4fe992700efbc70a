"""A draft with a result, without measuring: a stored lesson stands where the job would have put it."""

import shutil

from attrs import evolve

from putt_posture.server.measuring import prepare
from putt_posture.services import JobResult


def at(draft, more=""):
    """Return an address of a draft."""
    return f"/lessons/{draft.id}{more}"


def give_result(state, draft, folder, *, archive=None):
    """Put a result where measuring would put it, as measured from what the draft now is."""
    job = prepare(state, draft, archive=archive)
    done = evolve(job, lesson=Stored(out=state.drafts.result_folder(draft.id), folder=folder))
    done.run()


class Stored:
    """Stands for the job of the services: its result is there already."""

    def __init__(self, *, out, folder=None, error=None):
        self.out, self.folder, self.error = out, folder, error

    def run(self, *, progress=None):
        if self.error is not None:
            raise self.error
        shutil.copytree(self.folder, self.out, dirs_exist_ok=True)
        return JobResult(job=self)

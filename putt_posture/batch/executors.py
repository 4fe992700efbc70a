"""Where jobs run: processes of this machine, or the workers of a Dask cluster.

Both are executors of `concurrent.futures`, so that nothing else knows the difference. Here a thread waits for each
process; on a cluster a worker with one thread does. In both, a job runs in a process of its own with limits.
"""

from collections.abc import Callable, Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import contextmanager

from attrs import field, frozen

from putt_posture.batch.cluster import ClusterExecutor
from putt_posture.batch.limits import end_workers
from putt_posture.errors import UsageError

__all__ = ["Pool", "open_executor"]


def _as_function(count: int | Callable[[], int]) -> Callable[[], int]:
    return count if callable(count) else lambda: count


@frozen(kw_only=True)
class Pool:
    """Where jobs run.

    Attributes
    ----------
    executor : Executor
    workers : int
        How many jobs it runs at once now; on a cluster the number changes. A function may be given for it.
    """

    executor: Executor
    _count: Callable[[], int] = field(alias="workers", converter=_as_function)

    @property
    def workers(self) -> int:
        """How many jobs it runs at once now."""
        return self._count()


@contextmanager
def open_executor(
    *, workers: int = 1, cluster: str | None = None, tell: Callable[[str], None] | None = None
) -> Iterator[Pool]:
    """Yield an executor for jobs; at the end those that still run on this machine are ended.

    Parameters
    ----------
    workers : int
        Lessons at once on this machine; not used with a cluster, which has its own number.
    cluster : str, optional
        Address of a Dask scheduler, such as ``tcp://192.168.1.5:8786``.
    tell : callable, optional
        Called with a sentence where the cluster has to be waited for, or is not protected.

    Raises
    ------
    UsageError
        If the number is below 1, or nothing answers at the address.
    InstallationError
        If a cluster is asked for and Dask is not installed.
    ClusterError
        If a worker of the cluster has another version of the program, or none.
    """
    if cluster is not None:
        there = ClusterExecutor(cluster, tell=tell)
        try:
            yield Pool(executor=there, workers=lambda: there.workers)
        finally:
            there.shutdown(cancel_futures=True)
        return
    if workers < 1:
        raise UsageError(f"{workers} workers were asked for; at least 1 is needed.")
    pool = ThreadPoolExecutor(max_workers=workers, thread_name_prefix="lesson")
    try:
        yield Pool(executor=pool, workers=workers)
    finally:
        pool.shutdown(wait=False, cancel_futures=True)
        end_workers()
        pool.shutdown(wait=True)

"""Where jobs run: processes of this machine, or the workers of a Dask cluster.

Both are executors of `concurrent.futures`, so that nothing else knows the difference. Here a thread waits for each
process; on a cluster a worker with one thread does. In both, a job runs in a process of its own with limits.
"""

from collections.abc import Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import contextmanager
from typing import Final

from attrs import frozen

from putt_posture.batch.limits import end_workers
from putt_posture.errors import InstallationError, UsageError

__all__ = ["Pool", "open_executor"]

_PATIENCE_S: Final = "20s"
"""How long a cluster may take to answer."""


@frozen(kw_only=True)
class Pool:
    """Where jobs run.

    Attributes
    ----------
    executor : Executor
    workers : int
        How many jobs it runs at once.
    """

    executor: Executor
    workers: int


@contextmanager
def open_executor(*, workers: int = 1, cluster: str | None = None) -> Iterator[Pool]:
    """Yield an executor for jobs; at the end those that still run here are ended.

    Parameters
    ----------
    workers : int
        Lessons at once on this machine; not used with a cluster, which has its own number.
    cluster : str, optional
        Address of a Dask scheduler, such as ``tcp://192.168.1.5:8786``.

    Raises
    ------
    UsageError
        If the number is below 1, or nothing answers at the address.
    InstallationError
        If a cluster is asked for and Dask is not installed.
    """
    if cluster is not None:
        with _open_cluster(cluster) as found:
            yield found
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


@contextmanager
def _open_cluster(address: str) -> Iterator[Pool]:
    try:
        from distributed import Client
    except ImportError:
        raise InstallationError(
            "A cluster was given, and dask.distributed is not installed. "
            "Install it: pip install 'putt_posture[cluster]'"
        ) from None
    try:
        client = Client(address, timeout=_PATIENCE_S, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        said = " ".join(str(error).split()) or type(error).__name__
        raise UsageError(
            f"No cluster answers at {address} ({said}). Give the address that its scheduler prints when it starts."
        ) from None
    try:
        threads = sum(client.nthreads().values())
        if not threads:
            raise UsageError(f"The cluster at {address} has no workers. Start some: dask worker {address} --nthreads 1")
        yield Pool(executor=client.get_executor(pure=False, retries=0), workers=threads)
    finally:
        client.close(timeout=5)

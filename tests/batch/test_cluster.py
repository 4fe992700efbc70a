"""A Dask cluster of real processes: what it does, and what becomes of a run when parts of it are lost."""

import socket
import subprocess
import sys
import threading
from concurrent.futures import wait
from pathlib import Path

import dask.config
import psutil
import pytest
from cluster_jobs import Films, Tells, Waits, numbers_of
from dask_processes import cluster_of, kill, wait_until

from putt_posture.batch import Limits, open_executor
from putt_posture.batch.cluster import ClusterExecutor
from putt_posture.batch.limits import run_limited
from putt_posture.errors import ClusterError, InstallationError, ProcessStopped, UsageError

LIMITS = Limits(seconds=120.0, memory_mb=4000.0)
ANSWER_S = 400.0

whole = pytest.mark.whole


@pytest.fixture(scope="module")
def cluster(tmp_path_factory):
    """Two workers that no test harms."""
    with cluster_of(2, tmp_path_factory.mktemp("cluster")) as found:
        yield found


@pytest.fixture
def said():
    return []


def submit(executor, *jobs):
    return [executor.submit(run_limited, job, LIMITS) for job in jobs]


def answers(futures):
    wait(futures, timeout=ANSWER_S)
    return [each.result(timeout=0) for each in futures]


def wait_for_runs(*jobs, count=1):
    wait_until(lambda: all(len(job.runs()) >= count for job in jobs), what=f"{count} runs of each job")


def let_go(folder):
    (folder / "go").touch()


@whole
def test_jobs_run_in_processes_that_the_workers_keep(cluster):
    with open_executor(cluster=cluster.address) as pool:
        wait_until(lambda: pool.workers == 2, what="two workers")
        results = answers(submit(pool.executor, *(Tells(number) for number in range(12))))
    assert numbers_of(results) == list(range(12))
    processes = {(int(each.files["worker"]), int(each.files["pid"])) for each in results}
    workers = {worker for worker, _ in processes}
    assert len(workers) == len(processes) == 2
    commands = {each.pid for each in cluster.workers}
    assert {psutil.Process(worker).ppid() for worker in workers} == commands


@whole
def test_results_of_some_megabytes_come_back_whole(cluster):
    with open_executor(cluster=cluster.address) as pool:
        (result,) = answers(submit(pool.executor, Tells(1, size=30_000_000)))
    assert result.files["big"] == bytes(30_000_000)


@whole
def test_a_call_that_is_given_up_is_not_waited_for(cluster, tmp_path):
    job = Waits(1, tmp_path)
    with open_executor(cluster=cluster.address) as pool:
        submit(pool.executor, job)
        wait_for_runs(job)
    let_go(tmp_path)
    with pytest.raises(RuntimeError, match="shut down"):
        submit(pool.executor, job)


@whole
def test_a_killed_worker_loses_nothing(tmp_path):
    jobs = [Waits(number, tmp_path) for number in range(3)]
    with cluster_of(2, tmp_path / "cluster") as cluster, open_executor(cluster=cluster.address) as pool:
        futures = submit(pool.executor, *jobs)
        wait_until(lambda: sum(bool(job.runs()) for job in jobs) == 2, what="two of them run")
        hit = next(job for job in jobs if job.runs())
        ((process, worker),) = hit.runs()
        kill(worker)
        wait_for_runs(hit, count=2)
        wait_until(lambda: not psutil.pid_exists(process), what="its job ends with the worker")
        let_go(tmp_path)
        assert numbers_of(answers(futures)) == [0, 1, 2]
    assert sorted(len(job.runs()) for job in jobs) == [1, 1, 2]


@whole
def test_a_killed_nanny_takes_its_worker_along_and_loses_nothing(tmp_path):
    job = Waits(1, tmp_path)
    with cluster_of(2, tmp_path / "cluster") as cluster, open_executor(cluster=cluster.address) as pool:
        wait_until(lambda: pool.workers == 2, what="two workers")
        futures = submit(pool.executor, job)
        wait_for_runs(job)
        ((process, worker),) = job.runs()
        kill(psutil.Process(worker).ppid())
        wait_for_runs(job, count=2)
        wait_until(lambda: not psutil.pid_exists(process), what="its job ends too")
        wait_until(lambda: pool.workers == 1, what="one worker is left")
        let_go(tmp_path)
        assert numbers_of(answers(futures)) == [1]


@whole
def test_a_killed_job_is_told_and_its_worker_goes_on(cluster, tmp_path):
    job = Waits(1, tmp_path)
    with open_executor(cluster=cluster.address) as pool:
        futures = submit(pool.executor, job)
        wait_for_runs(job)
        ((process, worker),) = job.runs()
        kill(process)
        (result,) = answers(futures)
        assert isinstance(result.error, ProcessStopped)
        assert psutil.pid_exists(worker)
        assert numbers_of(answers(submit(pool.executor, Tells(2)))) == [2]


@whole
def test_a_scheduler_that_is_started_again_is_given_all_work_anew(tmp_path, said):
    jobs = [Waits(number, tmp_path) for number in range(4)]
    with (
        cluster_of(1, tmp_path / "cluster") as cluster,
        open_executor(cluster=cluster.address, tell=said.append) as pool,
    ):
        (first,) = answers(submit(pool.executor, Tells(7)))
        futures = submit(pool.executor, *jobs)
        wait_until(lambda: any(job.runs() for job in jobs), what="one of them runs")
        cluster.kill_scheduler()
        wait_until(lambda: any("does not answer" in each for each in said), what="it is told")
        cluster.start_scheduler()
        cluster.start_worker()
        let_go(tmp_path)
        assert numbers_of(answers(futures)) == [0, 1, 2, 3]
    assert numbers_of([first]) == [7]
    assert [each for each in said if "works again" in each]


@whole
def test_a_scheduler_that_stays_away_ends_the_run_with_a_sentence(tmp_path, said):
    job = Waits(1, tmp_path)
    with cluster_of(1, tmp_path / "cluster") as cluster:
        with open_executor(cluster=cluster.address) as pool:
            assert numbers_of(answers(submit(pool.executor, Tells(7)))) == [7]
        executor = ClusterExecutor(cluster.address, patience_s=10.0, tell=said.append)
        try:
            futures = submit(executor, job)
            wait_for_runs(job)
            cluster.kill_scheduler()
            with pytest.raises(ClusterError, match=r"has not answered .* give the same command again to go on\.$"):
                futures[0].result(timeout=ANSWER_S)
            with pytest.raises(ClusterError, match="has not answered"):
                submit(executor, job)
            wait_until(lambda: cluster.workers[0].poll() is not None, what="its worker ends, though a job runs")
        finally:
            executor.shutdown(cancel_futures=True)


@whole
def test_workers_that_come_later_are_used(tmp_path, said):
    jobs = [Waits(number, tmp_path) for number in range(2)]
    with (
        cluster_of(0, tmp_path / "cluster") as cluster,
        open_executor(cluster=cluster.address, tell=said.append) as pool,
    ):
        assert pool.workers == 1  # so that there is work for the first that comes
        futures = submit(pool.executor, *jobs)
        assert "has no workers. Start some: dask worker" in said[0]
        cluster.start_worker()
        wait_until(lambda: any(job.runs() for job in jobs), what="the first worker has begun")
        cluster.start_worker()
        wait_for_runs(*jobs)
        wait_until(lambda: pool.workers == 2, what="two workers are counted")
        let_go(tmp_path)
        assert numbers_of(answers(futures)) == [0, 1]


@whole
def test_a_cluster_that_stays_without_workers_ends_the_run_with_a_sentence(tmp_path, said):
    with cluster_of(0, tmp_path / "cluster") as cluster:
        executor = ClusterExecutor(cluster.address, patience_s=3.0, tell=said.append)
        try:
            with pytest.raises(ClusterError, match="has had no workers for"):
                submit(executor, Tells(1))[0].result(timeout=ANSWER_S)
        finally:
            executor.shutdown(cancel_futures=True)


@whole
@pytest.mark.parametrize(
    ("lies", "says"),
    [
        (
            "import importlib.metadata as m; m.version = lambda name: '0.0.1'",
            r"by putt_posture 0\.0\.1 .* this computer .* by 0\.1\.0",
        ),
        ("import sys; sys.modules['putt_posture'] = None", r"cannot run putt_posture \(ModuleNotFoundError\("),
    ],
)
def test_a_worker_that_would_measure_otherwise_ends_the_run(tmp_path, lies, says):
    other = tmp_path / "other"
    other.mkdir()
    (other / "usercustomize.py").write_text("")
    (other / "sitecustomize.py").write_text(lies)
    with cluster_of(0, tmp_path / "cluster") as cluster, open_executor(cluster=cluster.address) as pool:
        futures = submit(pool.executor, Tells(1))
        cluster.start_worker(PYTHONPATH=str(other))
        with pytest.raises(ClusterError, match=says) as told:
            futures[0].result(timeout=ANSWER_S)
    assert "give the same command again" in str(told.value)


@whole
def test_a_cluster_with_certificates_is_used_as_dask_is_set_up(tmp_path):
    key, certificate = tmp_path / "key.pem", tmp_path / "certificate.pem"
    asked = "req -x509 -newkey rsa:2048 -nodes -days 2 -subj /CN=cluster -keyout"
    subprocess.run(["openssl", *asked.split(), key, "-out", certificate], check=True, capture_output=True)
    sides = {side: {"key": str(key), "cert": str(certificate)} for side in ("client", "scheduler", "worker")}
    settings = {f"{side}.{what}": path for side, of in sides.items() for what, path in of.items()}
    settings["ca-file"] = str(certificate)
    environment = {f"DASK_DISTRIBUTED__COMM__TLS__{name.upper()}": path for name, path in settings.items()}
    environment = {name.replace(".", "__").replace("-", "_"): path for name, path in environment.items()}
    with cluster_of(1, tmp_path / "cluster", scheme="tls", environment=environment) as cluster:
        with (
            pytest.raises(UsageError, match=r"needs certificates, and Dask's configuration has none.*ca-file"),
            open_executor(cluster=cluster.address),
        ):
            pass
        with (
            dask.config.set({f"distributed.comm.tls.{name}": path for name, path in settings.items()}),
            open_executor(cluster=cluster.address) as pool,
        ):
            assert numbers_of(answers(submit(pool.executor, Tells(3)))) == [3]


@pytest.mark.parametrize("greeting", [b"SSH-2.0-OpenSSH\r\n", b"", None], ids=["another", "hangs up", "silent"])
def test_a_port_where_no_scheduler_speaks_is_no_cluster(greeting, monkeypatch):
    monkeypatch.setattr("putt_posture.batch.cluster._ANSWER_S", 0.5)

    def answer(listening):
        connection, _ = listening.accept()
        if greeting is not None:
            connection.sendall(greeting)
            connection.close()
        kept.append(connection)

    kept = []
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        answering = threading.Thread(target=answer, args=(other,))
        answering.start()
        with (
            pytest.raises(UsageError, match="No cluster answers at"),
            open_executor(cluster=f"127.0.0.1:{other.getsockname()[1]}"),
        ):
            pass
        answering.join()
        kept[0].close()


@whole
def test_a_clip_that_only_this_computer_sees_ends_the_run(cluster, tmp_path, monkeypatch):
    """Workers run in another folder, so that they look for a clip without a folder elsewhere."""
    monkeypatch.chdir(tmp_path)
    clip = Path("clip.mov")
    clip.write_bytes(bytes(5))
    with open_executor(cluster=cluster.address) as pool:
        assert numbers_of(answers(submit(pool.executor, Films(clip.absolute())))) == [5]
        with pytest.raises(ClusterError, match=r"on \S+ do not see clip\.mov, which this computer sees"):
            submit(pool.executor, Films(clip))[0].result(timeout=ANSWER_S)
        with pytest.raises(ClusterError, match="do not see"):
            submit(pool.executor, Tells(1))


@whole
def test_a_clip_that_is_nowhere_is_the_fault_of_its_lesson(cluster, tmp_path):
    with open_executor(cluster=cluster.address) as pool:
        (result,) = answers(submit(pool.executor, Films(tmp_path / "gone.mov")))
        assert isinstance(result.error, FileNotFoundError)
        assert numbers_of(answers(submit(pool.executor, Tells(1)))) == [1]


def test_where_nothing_answers_is_said_at_once():
    with (
        pytest.raises(UsageError, match=r"No cluster answers at tcp://127\.0\.0\.1:9 \(.*refused\)"),
        open_executor(cluster="127.0.0.1:9"),
    ):
        pass
    assert not [each for each in threading.enumerate() if each.name == "cluster"]


def test_nothing_of_dask_is_imported_where_no_cluster_is_asked_for():
    looked = (
        "import sys, putt_posture.cli.batch, putt_posture.batch\n"
        "with putt_posture.batch.open_executor(workers=1): pass\n"
        "sys.exit('distributed' in sys.modules or 'dask' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", looked]).returncode == 0


def test_without_dask_it_is_said_how_to_get_it(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InstallationError, match=r"pip install 'putt_posture\[cluster\]'"):
        ClusterExecutor("127.0.0.1:8786")

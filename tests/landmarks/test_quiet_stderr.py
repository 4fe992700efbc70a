import os
import subprocess
import sys
import textwrap

NOISE = [
    "INFO: Created TensorFlow Lite XNNPACK delegate for CPU.",
    "WARNING: [model_load.cc:402] Sparsity tensors may not yet be fully supported.",
    "WARNING: Logging before InitGoogle() is written to STDERR",
    "W0000 00:00:1795599156.870520   13116 inference_runner_litert.cc:1433] Input tensor memory is not aligned",
    "I0000 00:00:1795599156.870520   13116 gl_context.cc:357] GL version",
]
"""Lines as mediapipe 1.2.3 writes them (the last as it does with a graphics card, from memory)."""


def run(code: str, **options) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", textwrap.dedent(code)], capture_output=True, text=True, **options)


def test_library_chatter_is_dropped_and_other_lines_are_kept() -> None:
    done = run(f"""
        import os
        from putt_posture.landmarks.quiet import quiet_stderr
        with quiet_stderr():
            for line in {[*NOISE, "Error: our own sentence.", "WARNING: a sentence of another library"]!r}:
                os.write(2, line.encode() + b"\\n")
        os.write(2, b"after\\n")
    """)
    assert done.stderr.splitlines() == ["Error: our own sentence.", "WARNING: a sentence of another library", "after"]


def test_traceback_out_of_the_block_is_seen() -> None:
    done = run("""
        from putt_posture.landmarks.quiet import quiet_stderr
        with quiet_stderr():
            raise LookupError("seen")
    """)
    assert done.returncode == 1
    assert "LookupError: seen" in done.stderr


def test_closed_standard_error_is_no_fault() -> None:
    done = run("""
        import os
        from putt_posture.landmarks.quiet import quiet_stderr
        os.close(2)
        with quiet_stderr():
            print("inside")
        try:
            os.fstat(2)
        except OSError:
            print("still closed")
    """)
    assert done.returncode == 0
    assert done.stdout.split("\n")[:2] == ["inside", "still closed"]


def test_threads_leave_standard_error_as_it_was() -> None:
    done = run("""
        import os, threading
        from putt_posture.landmarks.quiet import quiet_stderr
        before = os.fstat(2)
        def work(number):
            for _ in range(50):
                with quiet_stderr():
                    os.write(2, f"line {number}\\n".encode())
        threads = [threading.Thread(target=work, args=(number,)) for number in range(4)]
        [thread.start() for thread in threads]
        [thread.join() for thread in threads]
        assert os.path.samestat(os.fstat(2), before)
    """)
    assert done.returncode == 0, done.stderr
    assert sorted(done.stderr.split("\n"))[1:] == sorted(f"line {number}" for number in range(4) for _ in range(50))


def test_opening_and_running_the_model_writes_nothing(tmp_path) -> None:
    done = run(
        """
        import sys
        import numpy as np
        from PIL import Image
        from putt_posture.landmarks import open_pose_model
        picture = np.asarray(Image.open(sys.stdin.readline()).convert("RGB"))
        with open_pose_model("small", outline=True) as model:
            print(len(model.find_people(picture)))
        """,
        input=os.path.join(os.path.dirname(__file__), "pictures", "golfer_face_on.jpg"),
    )
    assert done.stdout.split() == ["1"]
    assert done.stderr == ""

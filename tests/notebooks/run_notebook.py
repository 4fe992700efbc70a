"""Run a notebook from top to bottom and write it with its outputs: ``python run_notebook.py NOTEBOOK OUT``.

The kernel is spoken to through files, not through ports, so that what else opens a connection can be seen.
"""

import sys
from pathlib import Path

import nbformat
from jupyter_client import AsyncKernelManager
from nbclient import NotebookClient


def main() -> None:
    source, target = map(Path, sys.argv[1:])
    notebook = nbformat.read(source, as_version=4)
    kernel = AsyncKernelManager(kernel_name="python3", transport="ipc", ip=str(target.with_suffix(".kernel")))
    NotebookClient(notebook, km=kernel, timeout=300, resources={"metadata": {"path": source.parent}}).execute()
    nbformat.write(notebook, target)


if __name__ == "__main__":
    main()

"""The folders of outputs that the checks look at: the demo procedures, whole and tailored, and those of
tests/emit, built here."""

import atexit
import os
import pathlib
import shutil
import subprocess
import tempfile


def folders():
    out = pathlib.Path(tempfile.mkdtemp(prefix="fitwright-samples-"))
    atexit.register(shutil.rmtree, out, ignore_errors=True)
    sources = sorted(pathlib.Path("tests/emit").glob("*.fitw"))
    subprocess.run([os.environ["FITWRIGHT"], "build", "--out", out, *sources], check=True, capture_output=True)
    built = [*pathlib.Path(os.environ["FITWRIGHT_OUT"]).iterdir(), *out.iterdir()]
    found = sorted(folder for folder in built if (folder / "manual.html").exists())
    assert len(found) >= len(sources) + 3, f"only {len(found)} folders of outputs"
    return found

"""What is compiled when a site is set up is all that any frame needs: nobody's first picture waits for a compiler."""

from __future__ import annotations

import subprocess
import sys

from trainer.renders.kernels import FAULTS


def test_frames_of_a_few_faults_load_every_kernel() -> None:
    command = [sys.executable, "-m", "tests.scoring.frame.every_kernel", *FAULTS]
    told = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    one, few = (line.partition(":")[2].split() for line in told.splitlines())
    assert "scoring.frame.softness.blur_down" in one
    assert few == []

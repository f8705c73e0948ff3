"""Batch drafting on a cluster: two workers of its own on this machine, one of which is killed while it works."""

import os
import random
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from cut_short import order_for, run

from tapeline.batch import workers
from tapeline.batch.results import results_of
from tapeline.bodies.stream import Row, Share

HERE = Path(__file__).parent
HEADING = "size,waist [cm],hip [cm],waist_to_hip [cm]"
BATCH = ("batch", "plain_skirt.style", "bodies.csv", "-o", "results.jsonl")


@pytest.fixture(scope="module")
def cluster():
    """The address of its scheduler."""
    process = subprocess.Popen(
        [sys.executable, HERE / "small_cluster.py"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        cwd=HERE,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, (str(HERE), os.environ.get("PYTHONPATH"))))},
    )
    yield process.stdout.readline().strip()
    process.stdin.close()
    process.wait(30)


@pytest.fixture
def bodies(folder):
    chance = random.Random(3)
    lines = [f"no {number},{chance.uniform(58, 90):.2f},{chance.uniform(95, 110):.2f},20" for number in range(60)]
    (folder / "bodies.csv").write_text("\n".join([HEADING, *lines, "bad,72"]) + "\n")
    return folder


SHARES = [Share((Row(1, 2, ""),))]


def killing(order, share):
    """Drafting by a worker that is killed when it first meets one of the shares."""
    mark, order = order
    if share.first == 11 and not os.path.exists(mark):
        open(mark, "w").close()
        os.kill(os.getpid(), signal.SIGKILL)
    return results_of(order, share)


def ended(order, share):
    os._exit(3)


def test_the_command_gives_the_same_bytes_as_without(bodies, tapeline, cluster, monkeypatch):
    monkeypatch.setattr("tapeline.batch.order.SHARE", 5)
    assert tapeline(*BATCH).exit_code == 1
    done = tapeline(*BATCH[:-1], "shared_out.jsonl", "--cluster", cluster)
    assert done.exit_code == 1 and "61 bodies, 60 passed, 1 failed" in done.stderr
    assert (bodies / "shared_out.jsonl").read_bytes() == (bodies / "results.jsonl").read_bytes()


def test_a_lost_workers_share_is_done_again(bodies, cluster):
    order, mark = order_for(HEADING), bodies / "mark"
    run(order, bodies)
    alone = (bodies / "results.jsonl").read_bytes()
    (bodies / "results.jsonl").unlink()
    run(order, bodies, lambda work, order, shares: workers.on_cluster(killing, (str(mark), order), shares, cluster))
    assert mark.exists() and (bodies / "results.jsonl").read_bytes() == alone


class Late:
    """A future that ends just as the wait for it does."""

    status = "pending"

    def result(self, timeout=None):
        if self.status == "pending":
            self.status = "finished"
            raise TimeoutError
        return "done"

    def done(self):
        return self.status != "pending"


class Staffed:
    def nthreads(self):
        return {"worker": 1}


def test_a_result_that_comes_as_the_wait_ends_is_no_lost_connection():
    assert workers._awaited(Staffed(), Late()) == "done"


def test_workers_must_have_the_same_program(cluster, monkeypatch):
    monkeypatch.setattr("tapeline.batch.workers.__version__", "9.9")
    with pytest.raises(workers.Stopped, match="0.1.0 there, 9.9 here"):
        list(workers.on_cluster(ended, None, SHARES, cluster))


def test_a_share_that_no_worker_outlives_is_named(cluster, monkeypatch):
    """Or the cluster is left without workers, where it gives up on starting them: then that is said."""
    monkeypatch.setattr("tapeline.batch.workers._LOOK", 1)
    monkeypatch.setattr("tapeline.batch.workers._IDLE", 5)
    with pytest.raises(workers.Stopped, match="several ended over rows 1 to 1|none for 5 seconds"):
        list(workers.on_cluster(ended, None, SHARES, cluster))


def test_without_the_extra_it_says_how_to_get_it(bodies, tapeline, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    done = tapeline(*BATCH, "--cluster", "tcp://workroom:8786")
    assert done.exit_code == 3 and "R103" in done.stderr and "pip install 'tapeline[cluster]'" in done.stderr


@pytest.mark.parametrize("address", ["workroom", "far://workroom:1", "tcp://127.0.0.1:1"])
def test_an_address_where_no_cluster_is(bodies, tapeline, address, monkeypatch):
    monkeypatch.setattr("tapeline.batch.workers._PATIENCE", 1)
    done = tapeline(*BATCH, "--cluster", address)
    assert done.exit_code == 3 and "R103" in done.stderr and "the same command resumes" in done.stderr.lower()
    assert tapeline(*BATCH).exit_code == 1  # as said


def test_a_probe_finds_the_same_whoever_tries_the_bodies(folder, tapeline, cluster, monkeypatch):
    monkeypatch.setattr("tapeline.probing.trial.CHUNK", 40)
    (folder / "women.csv").write_text(HEADING + "\n" + "".join(f"{k},{60 + k},{90 + k},20\n" for k in range(30)))
    probe = ("probe", "plain_skirt.style", "--bodies", "women.csv", "--count", "100")
    alone = tapeline(*probe)
    assert alone.exit_code in (0, 1) and "bodies drafted" in alone.output
    assert tapeline(*probe, "--processes", "2").output == alone.output
    assert tapeline(*probe, "--cluster", cluster).output == alone.output


def test_a_probe_says_what_is_wrong_with_the_cluster(folder, tapeline, monkeypatch):
    monkeypatch.setattr("tapeline.probing.trial.CHUNK", 40)
    monkeypatch.setattr("tapeline.batch.workers._PATIENCE", 0.2)
    result = tapeline("probe", "plain_skirt.style", "--count", "120", "--cluster", "tcp://127.0.0.1:9")
    assert result.exit_code == 3 and "R103" in result.stderr and "address of a scheduler" in result.stderr

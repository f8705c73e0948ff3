"""A cluster of two workers, a process each, on this machine: prints the scheduler's address, and ends when its standard
input does."""

import sys

from distributed import LocalCluster

if __name__ == "__main__":
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50) as cluster:
        print(cluster.scheduler_address, flush=True)
        sys.stdin.read()

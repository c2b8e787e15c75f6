"""A cluster of other machines that plan for us, where the package for it is installed."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager

from shared.errors import PlannerError

_SECONDS_TO_ANSWER = 10
MISSING = (
    "--cluster needs the package 'distributed' here and on every machine of the cluster: "
    "pip install 'reskin-planner[cluster]', or leave --cluster out"
)


@contextmanager
def cluster_executor(address: str) -> Iterator[Executor]:
    """An executor on the Dask scheduler at ``address``; `reskin` must be installed on its machines.

    Raises PlannerError where the package is missing or nobody answers.
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise PlannerError(MISSING) from error
    try:
        client = Client(address, timeout=_SECONDS_TO_ANSWER, set_as_default=False)
    except (OSError, ValueError) as error:
        raise PlannerError(
            f"no cluster answers at {address}: {error}; give the address that its scheduler printed, "
            "such as tcp://192.0.2.7:8786"
        ) from error
    with client:
        yield client.get_executor(pure=False)

"""Plans one job in a process of its own and prints what was measured, as one line of JSON, for tests.bench.measured."""

from __future__ import annotations

import json
import resource
import sys
import time


def main(name: str, started: float, limit: float, stop_after: float) -> None:
    """``started`` is the wall clock when the parent began; ``stop_after`` seconds ask for a stop (0: never)."""
    from nesting.limits import Progress, SolveLimits
    from nesting.planning import plan_job
    from tests.bench.jobs import job_named

    job = job_named(name)
    seen: dict[str, float] = {}
    branches = 0

    def hear(news: Progress) -> None:
        nonlocal branches
        branches += news.stage == "closing the gap"
        if news.best is not None:
            seen.setdefault("first", time.time() - started)
            seen.setdefault("first_cost", news.best)
            if news.bound >= news.best - 1e-6:
                seen.setdefault("proof", time.time() - started)

    def stop() -> bool:
        return stop_after > 0 and time.time() - started > stop_after

    began = time.time()
    plan = plan_job(job, SolveLimits(time_limit=limit, on_progress=hear, should_stop=stop)).plan
    told = {
        "seconds": time.time() - started,
        "inside": time.time() - began,
        **seen,
        "branches": branches,
        "memory": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024,
        "status": plan.status.value,
        "cost": plan.objective,
        "bound": plan.bound,
        "gap": plan.optimality_gap,
        "sheets": len(plan.sheets),
        "seams": len(plan.seams),
    }
    print(json.dumps(told))


if __name__ == "__main__":
    main(sys.argv[1], *(float(argument) for argument in sys.argv[2:5]))

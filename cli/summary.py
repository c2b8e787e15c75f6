"""The plan in one terminal screen: what to buy, what it costs, how far it is proved, what to do next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from textwrap import wrap

from nesting.documents.findings import all_warnings
from nesting.documents.wording import length_text, mass_text, money_text, proof_text
from nesting.job import Job, Stock
from nesting.plan import Plan, PlannedJob

WIDTH = 79
LABEL = 12


def plan_summary(planned: PlannedJob, out: Path, files: Iterable[Path], seconds: float) -> list[str]:
    """Lines of at most 79 characters (long names apart); money as in the job."""
    job, plan = planned.job, planned.plan
    return [
        *titled(job.title),
        *_labelled("Proof", f"{plan.status.value}: {proof_text(plan)} Planned in {seconds:.1f} s."),
        "",
        *_sheets(job, plan),
        *_totals(planned),
        *_tradeoff(plan),
        *warning_lines(all_warnings(planned)),
        "",
        *_labelled("Written", f"{len(tuple(files))} files in {out}"),
        *_labelled(
            "Next",
            f"open {out / 'index.html'}, print {out / 'packet.pdf'}, and measure each panel's "
            "place on the body once more before its sheet is cut.",
        ),
    ]


def titled(title: str) -> list[str]:
    """A title with a line under it and an empty line."""
    return [title, "=" * min(len(title), WIDTH), ""]


def warning_lines(warnings: Iterable[str]) -> list[str]:
    """The warnings as a list under a heading; nothing where there are none."""
    lines: list[str] = []
    for warning in warnings:
        lines += wrap(warning, WIDTH, initial_indent="  - ", subsequent_indent="    ")
    return ["", "Warnings", *lines] if lines else []


def _labelled(label: str, text: str) -> list[str]:
    return wrap(text, WIDTH, initial_indent=label.ljust(LABEL), subsequent_indent=" " * LABEL)


def _sheets(job: Job, plan: Plan) -> list[str]:
    counts: Counter[Stock] = Counter(sheet.stock for sheet in plan.sheets)
    name_width = max((len(stock.name) for stock in counts), default=0)
    lines = [f"Sheets to buy: {len(plan.sheets)}"]
    for stock in job.stock:
        if stock not in counts:
            continue
        units = job.units
        size = f"{length_text(stock.width, units)} x {length_text(stock.length, units)} {units.value}"
        price = money_text(stock.price * counts[stock])
        lines.append(
            f"  {counts[stock]:3} of {stock.name:{name_width}}  {size:22}  at {money_text(stock.price):>10}"
            f"  {price:>12}"
        )
    return lines


def _totals(planned: PlannedJob) -> list[str]:
    job, plan, buying, rivets = planned.job, planned.plan, planned.buying, planned.fasteners
    seams = f"{len(plan.seams)} in {len(plan.panels)} panels, costing {money_text(plan.seam_cost)}"
    least = f"{money_text(plan.objective)}, sheets and seams together: what the plan makes least"
    parts = (
        ("sheets", buying.sheets),
        ("cutting", buying.cutting),
        ("rivets", buying.rivets),
        ("delivery", buying.delivery),
        ("tax", buying.tax),
    )
    said = ", ".join(f"{name} {money_text(amount)}" for name, amount in parts if amount)
    mass = (
        f"{mass_text(buying.skin_mass, job.units)} on the body, "
        f"{mass_text(buying.sheet_mass, job.units)} of sheets to carry"
    )
    return [
        "",
        *_labelled("Seams", seams),
        *_labelled("Cost", least),
        *_labelled("To pay", money_text(buying.total) + (f": {said}" if said else "")),
        *_labelled("Rivets", f"{rivets.total:,} on the plan, {rivets.to_buy:,} to buy"),
        *_labelled("Mass", mass),
    ]


def _tradeoff(plan: Plan) -> list[str]:
    if not plan.tradeoff:
        return []
    lines = ["", "Fewer seams or cheaper sheets:", "  seams  sheets cost   at least"]
    for point in plan.tradeoff:
        chosen = "  <- this plan" if point.seams == len(plan.seams) else ""
        lines.append(
            f"  {point.seams:5} {money_text(point.sheet_cost):>12} {money_text(point.bound):>10}{chosen}"
        )
    return lines

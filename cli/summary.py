"""The plan in one terminal screen: what to buy, what it costs, how far it is proved, what to do next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from textwrap import wrap

from cli.look import Look
from nesting.documents.findings import all_warnings, sides_in_order
from nesting.documents.textview import marks_used, side_text
from nesting.documents.wording import (
    length_text,
    mass_text,
    money_text,
    price_text,
    proof_text,
    worth_text,
)
from nesting.job import Job, Stock
from nesting.plan import Plan, PlannedJob

WIDTH = 79
LABEL = 12
_WARNINGS = "Warnings"


def plan_summary(
    planned: PlannedJob, out: Path, files: Iterable[Path], seconds: float, look: Look | None = None
) -> list[str]:
    """Lines of at most 79 characters (long names apart); money as in the job; plain text unless told."""
    job, plan = planned.job, planned.plan
    look = look or Look()
    title, *under_it = titled(job.title)
    return [
        look.heading(title),
        *under_it,
        *labelled("Proof", f"{plan.status.value}: {proof_text(job, plan)} Planned in {seconds:.1f} s."),
        "",
        *_sheets(job, plan),
        *_totals(planned),
        *_sides(planned, look),
        *_tradeoff(job, plan),
        *(look.caution(line) if line == _WARNINGS else line for line in warning_lines(all_warnings(planned))),
        "",
        *labelled("Written", f"{len(tuple(files))} files in {out}"),
        *labelled(
            "Next",
            f"open {out / 'index.html'}, print {out / 'packet.pdf'} and {out / 'labels.pdf'}, and measure "
            "each panel's place on the body once more before its sheet is cut.",
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
    return ["", _WARNINGS, *lines] if lines else []


def labelled(label: str, text: str) -> list[str]:
    """A text after its label, wrapped beside it."""
    return wrap(text, WIDTH, initial_indent=label.ljust(LABEL), subsequent_indent=" " * LABEL)


def _sheets(job: Job, plan: Plan) -> list[str]:
    counts: Counter[Stock] = Counter(sheet.stock for sheet in plan.sheets)
    name_width = max((len(stock.name) for stock in counts), default=0)
    there = sum(sheet.stock.on_hand for sheet in plan.sheets)
    lines = [f"Sheets to buy: {len(plan.sheets) - there}" + (f", and {there} on hand" if there else "")]
    for stock in job.stock:
        if stock not in counts:
            continue
        units = job.units
        size = f"{length_text(stock.width, units)} x {length_text(stock.length, units)} {units.value}"
        lines.append(
            f"  {counts[stock]:3} of {stock.name:{name_width}}  {size:22}  {_prices(job, stock, counts)}"
        )
    return [line.rstrip() for line in lines]


def _prices(job: Job, stock: Stock, counts: Counter[Stock]) -> str:
    if stock.on_hand or not job.priced:
        return price_text(job, stock)
    return f"at {money_text(stock.price):>10}  {money_text(stock.price * counts[stock]):>12}"


def _totals(planned: PlannedJob) -> list[str]:
    job, plan, buying, rivets = planned.job, planned.plan, planned.buying, planned.fasteners
    seams = f"{len(plan.seams)} in {len(plan.panels)} panels, costing {worth_text(job, plan.seam_cost)}"
    least = f"{worth_text(job, plan.objective)}, sheets and seams together: what the plan makes least"
    to_pay = money_text(buying.total)
    if not job.priced:
        to_pay = f"{money_text(buying.total)} without the sheets, which have no price"
    parts = (
        ("sheets", buying.sheets),
        ("cutting", buying.cutting),
        ("rivets", buying.rivets),
        ("framing", buying.framing),
        ("sealant", buying.sealant),
        ("paint", buying.paint),
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
        *labelled("Seams", seams),
        *labelled("Cost" if job.priced else "Area", least),
        *(labelled("To pay", to_pay + (f": {said}" if said else "")) if job.priced or buying.total else []),
        *labelled("Rivets", f"{rivets.total:,} on the plan, {rivets.to_buy:,} to buy"),
        *labelled("Mass", mass),
    ]


def _sides(planned: PlannedJob, look: Look) -> list[str]:
    """Every side that carries panels, from outside."""
    sides = sides_in_order(planned)
    if not sides:
        return []
    said = "; ".join(("a line between two panels is a seam", *marks_used(planned)))
    lines = ["", *wrap(f"Seen from outside ({said}):", WIDTH)]
    for side in sides:
        lines += [look.line(runs) for runs in side_text(planned, side, WIDTH, look.ascii_only)]
    return lines


def _tradeoff(job: Job, plan: Plan) -> list[str]:
    if not plan.tradeoff:
        return []
    heading = "cheaper sheets" if job.priced else "less sheet"
    kind = "sheets cost" if job.priced else " sheet area"
    lines = ["", f"Fewer seams or {heading}:", f"  seams  {kind}     at least"]
    for point in plan.tradeoff:
        chosen = "  <- this plan" if point.seams == len(plan.seams) else ""
        lines.append(
            f"  {point.seams:5} {worth_text(job, point.sheet_cost):>12} "
            f"{worth_text(job, point.bound):>12}{chosen}"
        )
    return lines

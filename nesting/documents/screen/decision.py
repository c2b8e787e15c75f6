"""What to do and what it costs, as the first words of the page."""

from __future__ import annotations

from collections import Counter

from nesting.documents.screen.tables import safe, tradeoff_table
from nesting.documents.svg import svg_text
from nesting.documents.tradeplot import tradeoff_plot
from nesting.documents.wording import length_text, mass_text, money_text, proof_text, thin_text, worth_text
from nesting.job import Job, Stock
from nesting.plan import PlannedJob


def decision(planned: PlannedJob, title: str) -> str:
    """What to do and what it costs, before anything else."""
    plan, buying, job = planned.plan, planned.buying, planned.job
    seams, there = len(plan.seams), sum(sheet.stock.on_hand for sheet in plan.sheets)
    sheets = len(plan.sheets) - there
    stocks = Counter(sheet.stock for sheet in plan.sheets)
    rows = "".join(
        f"<li>{count} x {safe(stock.name)}, {length_text(stock.width, job.units)} x "
        f"{length_text(stock.length, job.units)} {job.units.value}{_each(job, stock)}</li>"
        for stock, count in stocks.items()
    )
    facts = (
        ("sheets to buy", str(sheets)),
        ("seams", str(seams)),
        ("rivets to buy", str(planned.fasteners.to_buy)),
        _cost_fact(planned),
        ("mass of the skin", mass_text(buying.skin_mass, job.units)),
        ("plan", plan.status.value),
    )
    cells = "".join(f"<div><dt>{name}</dt><dd>{value}</dd></div>" for name, value in facts)
    trade = ""
    if plan.tradeoff:
        trade = (
            f"<h3>Fewer seams or {'cheaper sheets' if job.priced else 'less sheet'}</h3>"
            f"<p>The least {'cost' if job.priced else 'area'} of sheets for each number of seams; "
            f"the seams of this plan cost {worth_text(job, plan.seam_cost)}.</p>"
            f'<figure class="plot"><div class="view">{svg_text(tradeoff_plot(planned))}</div></figure>'
            f"{tradeoff_table(planned)}"
        )
    on_hand = f", use {there} on hand" if there else ""
    gauge = f", gauge {job.skin.gauge}" if job.skin.gauge is not None else ""
    skin = f"{job.skin.material}{gauge}, {thin_text(job.skin.thickness, job.units)} {job.units.value} thick"
    return (
        f"<h1>{title}</h1>\n"
        f'<p class="lead">Buy {_count(sheets, "sheet")}{on_hand}, make {_count(seams, "seam")}.</p>\n'
        f'<dl class="facts">{cells}</dl>\n<ul>{rows}</ul>\n'
        f"<p>Skin: {safe(skin)}. Sheets {worth_text(job, plan.sheet_cost)} and seams "
        f"{worth_text(job, plan.seam_cost)} make {worth_text(job, plan.objective)}; the proved bound is "
        f"{worth_text(job, plan.bound)}, the gap {100 * plan.optimality_gap:.2f} %. "
        f"{proof_text(job, plan)}</p>\n{trade}\n"
    )


def _each(job: Job, stock: Stock) -> str:
    if stock.on_hand:
        return ", on hand"
    return f", {money_text(stock.price)} each" if job.priced else ""


def _cost_fact(planned: PlannedJob) -> tuple[str, str]:
    """What is to pay; where no sheet has a price, the area of sheet to buy."""
    job, plan = planned.job, planned.plan
    if job.priced:
        return "cost in all", money_text(planned.buying.total)
    return "sheet area to buy", worth_text(job, plan.sheet_cost)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number or 'no'} {noun}s"

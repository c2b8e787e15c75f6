"""How numbers are said on paper and in tables: lengths, masses, money, how far a plan is proved."""

from __future__ import annotations

from collections.abc import Iterable

from nesting.job import Job, Stock, Units
from nesting.ordering.orderlines import NO_PRICE
from nesting.plan import BuyLine, Plan, Status
from shared.tables import LB_PER_KG, MM_PER_INCH
from shared.units import Direction, format_length

_NO_GAP = 5e-5
"""A gap that would print as 0.00 per cent."""


def length_text(mm: float, units: Units, direction: Direction = "nearest") -> str:
    """A length where the unit is said already: ``28 3/8``, ``3/16``, ``721.5``."""
    return format_length(mm, units.value, direction=direction)


def unit_word(units: Units) -> str:
    """The unit in a sentence."""
    return "inches" if units is Units.INCH else "mm"


def mass_text(mass: float, units: Units) -> str:
    """A mass to one decimal, in the unit that goes with the job's lengths first."""
    kilograms, pounds = f"{mass:,.1f} kg", f"{mass * LB_PER_KG:,.1f} lb"
    return f"{pounds} ({kilograms})" if units is Units.INCH else f"{kilograms} ({pounds})"


def counted(number: int, noun: str) -> str:
    """``1 sheet``, ``2 sheets``, ``3 patches``."""
    ending = "" if number == 1 else "es" if noun.endswith(("ch", "sh", "x", "s")) else "s"
    return f"{number} {noun}{ending}"


def money_text(amount: float) -> str:
    """Money to the hundredth; the job names no currency."""
    return f"{amount:,.2f}"


def worth_text(job: Job, amount: float) -> str:
    """What a plan makes least: money, or sheet area where no sheet has a price."""
    if job.priced:
        return money_text(amount)
    return f"{amount:,.1f} sq ft" if job.units is Units.INCH else f"{amount:,.2f} m2"


def price_text(job: Job, stock: Stock) -> str:
    """The price of one sheet; ``on hand``, or nothing where no sheet has a price."""
    if stock.on_hand:
        return "on hand"
    return f"at {money_text(stock.price)}" if job.priced else ""


def line_money(line: BuyLine) -> tuple[str, str]:
    """Price of one and of all on a line of the buy list; empty where no price is given."""
    return (money_text(line.unit_price), money_text(line.price)) if line.priced else ("", "")


def total_text(job: Job, lines: Iterable[BuyLine] = ()) -> str:
    """What the total of these lines of the buy list is called: what has no price is not in it."""
    if not job.priced:
        return "total without the sheets"
    unpriced = any(not line.priced and line.note.startswith(NO_PRICE) for line in lines)
    return "total of what has a price" if unpriced else "total"


def thin_text(mm: float, units: Units) -> str:
    """A thickness or grip, finer than a tape reads: thousandths of an inch or hundredths of a mm."""
    return f"{mm / MM_PER_INCH:.3f}" if units is Units.INCH else f"{mm:.2f}"


def proof_text(job: Job, plan: Plan) -> str:
    """How far the plan is proved, for someone who buys by it."""
    if plan.status is Status.OPTIMAL:
        if job.priced:
            return "No cheaper plan exists for these panels, sheets and seam costs."
        return "No plan takes less sheet area for these panels, sheets and seam costs."
    gap = plan.optimality_gap
    cheap, cheaper, costs = ("cheap", "cheaper", "costs") if job.priced else ("small", "smaller", "takes")
    if gap < _NO_GAP:
        return f"The plan is as {cheap} as any can be, within rounding."
    saving = plan.objective - plan.bound
    return (
        f"A {cheaper} plan may exist: this one {costs} at most {100 * gap:.2f} % more than it must "
        f"({worth_text(job, saving)} at most could be saved). More time may show it."
    )

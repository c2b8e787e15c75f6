"""A job as the tables of its file, every length in mm: for the way back from values to text."""

from __future__ import annotations

from collections.abc import Mapping

from nesting.job import Job, Side


def job_tables(job: Job) -> dict[str, object]:
    """Tables that say what the job says; offcuts and sheets on hand become sizes of their own."""
    seam, skin = job.seam, job.skin
    return {
        "title": job.title,
        "units": "mm",
        "skin": {
            "material": skin.material,
            "thickness": skin.thickness,
            "density": skin.mass_per_area / skin.thickness * 1000,
        },
        "cutting": _given(
            method=job.cutting.method.value,
            kerf=job.cutting.kerf,
            gap=job.cutting.gap,
            edge_margin=job.cutting.edge_margin,
            turn=job.cutting.turn.value,
            flip=job.cutting.flip,
            shear_length=job.cutting.shear_length,
        ),
        "seam": _given(
            kind=seam.kind.value,
            edge_distance=seam.edge_distance,
            rows=seam.rows,
            row_spacing=seam.row_spacing or None,
            butt_gap=seam.butt_gap,
            cost=seam.cost,
            cost_per_length=seam.cost_per_length * 1000,
        ),
        "land": {"top": job.land.top, "bottom": job.land.bottom, "ends": job.land.ends},
        "rivets": {
            "diameter": job.rivets.diameter,
            "packs": [{"count": pack.count, "price": pack.price} for pack in job.rivets.packs],
        },
        "stock": [
            _given(
                name=f"{stock.name}{' on hand' if stock.on_hand else ''}",
                width=stock.width,
                length=stock.length,
                price=None if stock.on_hand else stock.price,
                on_hand=stock.available if stock.on_hand else None,
                available=0 if stock.on_hand else stock.available,
            )
            for stock in job.stock
        ],
        "side": [_side(side) for side in job.sides],
        "patch": [
            {
                "name": patch.name,
                "width": patch.width,
                "height": patch.height,
                "corner_radius": patch.corner_radius,
                "quantity": patch.quantity,
                "riveted": patch.riveted,
            }
            for patch in job.patches
        ],
    }


def _side(side: Side) -> Mapping[str, object]:
    return _given(
        name=side.name,
        forward=side.forward.value,
        posts=list(side.posts),
        rails=list(side.rails) or None,
        rail_width=side.rail_width or None,
        bay=[{"width": bay.width, "height": bay.height, "sill": bay.sill} for bay in side.bays],
        window=[
            {
                "bay": window.bay,
                "from_left": window.from_left,
                "from_bottom": window.from_bottom,
                "width": window.width,
                "height": window.height,
                "corner_radius": window.corner_radius,
                "riveted": window.riveted,
            }
            for window in side.windows
        ],
    )


def _given(**values: object) -> dict[str, object]:
    return {key: value for key, value in values.items() if value is not None}

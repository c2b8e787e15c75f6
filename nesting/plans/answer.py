"""From the programme's answer back to named panels, seams, backing strips and sheets with real parts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from nesting.job import Job, SeamRules
from nesting.placing.fitting import Fitter
from nesting.plan import BackingStrip, Panel, Seam, SheetLayout
from nesting.plans.assembly import Assembled, panel_part, strip_part
from nesting.plans.layout import Part, lay_out, lay_out_shapes
from nesting.plans.naming import named, renumbered, side_marks, strip_names
from nesting.programme.search import Decision
from nesting.sizing.partshapes import class_and_orientation
from nesting.sizing.problem import PartClass
from nesting.skin.fixing import decided_strips, strips_cut
from nesting.skin.seams import SeamLines, seam_lines, seams_between


@dataclass(frozen=True)
class ChosenPanels:
    """The panels of all sides, the seams between them, and the strips to add behind some of these."""

    panels: tuple[Panel, ...]
    seams: tuple[Seam, ...]
    strips: tuple[tuple[BackingStrip, Part], ...]

    def seam_cost(self, rules: SeamRules) -> float:
        """What the seams cost, by their number and by their length."""
        return rules.cost * len(self.seams) + rules.cost_per_length * sum(seam.length for seam in self.seams)


def chosen_panels(job: Job, assembled: Assembled, best: Decision) -> ChosenPanels:
    """The chosen candidates under short names, on sides without the backing heights that nobody used."""
    patches = [patch.name for patch in job.patches]
    marks = side_marks([side.name for side in job.sides], patches)
    kept = [panel.name for panel in job.fixed.panels] + [strip.name for strip in job.fixed.strips]
    names = strip_names([*patches, *kept])
    panels: list[Panel] = []
    seams: list[Seam] = []
    strips: list[tuple[BackingStrip, Part]] = []
    for plan in assembled.sides:
        side = plan.side
        chosen = [c for p in best.choices if (c := assembled.candidates[p]).panel.side == side.name]
        used = sorted({level for candidate in chosen for level, _ in candidate.strips})
        lines = seam_lines(job, side, [plan.lines.levels[level - 1].height for level in used])
        own = named(
            renumbered([c.panel for c in chosen], plan.lines, lines),
            marks[side.name],
            [c.kept_name for c in chosen],
            kept,
        )
        panels += own
        seams += seams_between(own, lines)
        strips += _strips(job, side.name, own, lines, names)
    return ChosenPanels(tuple(panels), tuple(seams), tuple(strips))


def laid_out(
    job: Job, assembled: Assembled, chosen: ChosenPanels, best: Decision, fitter: Fitter
) -> tuple[SheetLayout, ...]:
    """The sheets with their real parts, those with the first panels first."""
    waiting = _parts_by_class(job, assembled, chosen)
    loads = sorted(best.sheets.items(), key=lambda load: (load[0][0], [(-n, k) for k, n in load[0][1]]))
    layouts = []
    for (size, pattern), count in loads:
        for _ in range(count):
            spots = fitter.placed(size, pattern)
            own = [waiting[spot[0]].pop(0) for spot in spots]
            shaped = fitter.shaped_places(size, pattern)
            if shaped is not None:
                layouts.append(lay_out_shapes(job, job.stock[size], shaped, own))
            else:
                layouts.append(lay_out(job, job.stock[size], spots, own, assembled.problem.classes))
    assert not any(waiting.values()), "every part is on a sheet"
    return tuple(layouts)


def _strips(
    job: Job, side: str, panels: Sequence[Panel], lines: SeamLines, names: Iterator[str]
) -> Iterator[tuple[BackingStrip, Part]]:
    """A strip for every bay behind every seam on a backing height, with its part as it is cut."""
    decided, there = decided_strips(job, side), strips_cut(job, side)
    for number, level in enumerate(lines.levels, start=1):
        if not level.backing:
            continue
        for panel in panels:
            for bay in range(panel.first_bay, panel.last_bay + 1):
                if panel.last_row == number and lines.parts(number, bay):
                    place = (level.height, bay)
                    kept = decided[place].name if place in decided else ""
                    name = kept or next(names)
                    strip = BackingStrip(side, level.height, name, bay, cut=place in there)
                    yield strip, strip_part(job, lines, level.height, bay, name)


def _parts_by_class(job: Job, assembled: Assembled, chosen: ChosenPanels) -> Mapping[int, list[Part]]:
    """The real parts of each class, in the order in which sheets take them."""
    numbers = {kind: k for k, kind in enumerate(assembled.problem.classes)}
    waiting: dict[int, list[Part]] = {}
    panels = [panel_part(panel) for panel in chosen.panels if not panel.cut]
    for part in [*panels, *(part for strip, part in chosen.strips if not strip.cut)]:
        _put(job, assembled, numbers, waiting, part)
    for part, _ in assembled.patches:
        _put(job, assembled, numbers, waiting, part)
    return waiting


def _put(
    job: Job,
    assembled: Assembled,
    numbers: Mapping[PartClass, int],
    waiting: dict[int, list[Part]],
    part: Part,
) -> None:
    """The part among those of its class, with the orientation in which it lies as the class does."""
    kind, orientation = class_and_orientation(job, part.outline, part.holes, assembled.least)
    waiting.setdefault(numbers[kind], []).append(replace(part, orientation=orientation))

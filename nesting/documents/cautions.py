"""What can hurt or cost dearly: headings and short texts, the same in the packet and on the page.

Source kinds stand beside each: (a) published and seen, (b) from memory of the named document,
(c) common practice without a citable source.  Numbers are given only where the source is of kind (a).
"""

from __future__ import annotations

from shared.tables import LIFTING_CONSTANT_KG

TWO_PERSON_MASS = LIFTING_CONSTANT_KG
"""kg (51 lb): above it no lift by one person is recommended (nesting.ordering.lifting)."""

CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        # (c)
        "Sharp edges",
        "Fresh-cut sheet cuts to the bone. Wear cut-resistant gloves and sleeves, deburr every edge and "
        "hole before lifting, and never catch a sheet that slips.",
    ),
    (
        # 23 kg / 51 lb: (a) NIOSH load constant. Wind and sideways bending: (c)
        "Heavy and wide panels",
        "A part over 23 kg (51 lb, the load constant of the NIOSH lifting equation) is a lift for two "
        "people or lifting gear; whole sheets are heavier still. Wide thin sheet bends and sails: do not "
        "hang panels in wind.",
    ),
    (
        # exposure limit and metal fume fever: (a) OSHA Z-1 table, AWS fact sheet. Cutting by heat: (c)
        "Zinc fume",
        "Welding, grinding or cutting coated sheet by heat gives off zinc oxide fume (OSHA limit 5 mg/m3 "
        "over 8 hours); metal fume fever starts hours later. Ventilate, wear a respirator made for metal "
        "fume, take the coating off well clear of a weld.",
    ),
    (
        # eye protection when drilling: (a) Army manual warning. Noise: (b) 29 CFR 1910.95, so no figures
        "Eyes and ears",
        "Wear eye protection to drill, cut and rivet: chips and mandrel ends fly. Saws, grinders and "
        "rivet hammers are loud enough to harm hearing: wear ear protection.",
    ),
    (
        # a raised roof lies outside the tested configuration: (c), beside 49 CFR 571.220 (a)
        "Structure",
        "A body with a raised roof is no longer the body that was tested for roof crush and joint "
        "strength, and a new skin does not restore it. This plan counts sheets and rivets; it does not "
        "check strength. Have a licensed engineer or inspector look at the posts, the splices and the "
        "roof before the vehicle carries people.",
    ),
    (
        # height limits: (a) directive and trade list, differing by place: no figure. Exits: (a) subject only
        "Vehicle law",
        "Raising the roof changes the overall height, and closing windows can take away emergency exits. "
        "Height limits, exits, registration and insurance are governed by the codes where the vehicle is "
        "kept and driven: ask there before cutting.",
    ),
    (
        # (c)
        "Measure again",
        "Check the measurements of every panel on the vehicle before its sheet is cut, above all where a "
        "warning names it. A panel cut from a wrong reading cannot be made larger.",
    ),
)

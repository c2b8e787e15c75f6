"""Rivet and skin side by side outdoors: which of the two metals is eaten, for information."""

from __future__ import annotations

from dataclasses import dataclass

from shared.rivettables import OUTDOORS_APART, metal_row

_NOISE = 1e-9

PLATED = {"steel": "zinc-plated steel"}
"""What a rivet of a material is on its surface."""


@dataclass(frozen=True)
class Pairing:
    """A skin and a rivet: by how many volts the rivet is the nobler one (negative: the rivet is eaten)."""

    skin: str
    rivet: str
    nobler: float
    source: str

    @property
    def apart(self) -> bool:
        """Whether they lie farther apart than is usual outdoors."""
        return abs(self.nobler) > OUTDOORS_APART + _NOISE

    @property
    def good(self) -> bool:
        """Whether nothing need be said of it."""
        return not self.apart and self.nobler >= -_NOISE

    @property
    def verdict(self) -> str:
        """What to think of it, in words."""
        volts = f"{abs(self.nobler):.2f} V apart"
        if not self.apart:
            if self.nobler < -_NOISE:
                return f"{volts}, within {OUTDOORS_APART} V, but the small rivet is the one that is eaten: paint it"
            return f"{volts}, within {OUTDOORS_APART} V: good"
        if self.nobler > 0:
            return (
                f"{volts}, more than {OUTDOORS_APART} V: the skin is eaten beside the rivet, slowly since that "
                "is small; set it in sealant and paint it"
            )
        return (
            f"{volts}, more than {OUTDOORS_APART} V: the small rivet is eaten on the large skin; take one "
            "of the skin's metal or of a nobler one"
        )


def pairing(skin: str, rivet: str) -> Pairing | None:
    """The pairing of a skin with rivets by the names of the material tables; None where one of them is unknown."""
    first, second = metal_row(skin), metal_row(PLATED.get(rivet, rivet))
    if first is None or second is None:
        return None
    return Pairing(skin, second.metal, first.index - second.index, first.source)

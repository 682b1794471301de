"""Code 128 whose first two figures may be 99."""

from __future__ import annotations

from barcode import Code128

TO_C = 99
"""As a first symbol python-barcode takes it for the switch to pairs of figures (ISO/IEC 15417)."""


class PairedCode128(Code128):
    """Code 128 that starts with pairs of figures: there symbol 99 is the pair “99”, no switch."""

    def _try_to_optimize(self, encoded: list[int]) -> list[int]:
        """Return the symbols with the switch after the start made one with it, if it is one."""
        return encoded if encoded[1] == TO_C else super()._try_to_optimize(encoded)

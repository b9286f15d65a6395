"""Carrier to interference and reuse distance against published examples of cellular radio.

In cellular radio a cluster of N cells gives a reuse distance of D = R √(3 N), and six cells of the first
tier interfere, all taken to be at distance D.

Sources:

- REUSE: T. S. Rappaport, Wireless Communications, example on co-channel interference: 15 dB required,
  exponents 4 and 3. Secondary: solutions of a university course, read; the book was not.
- GARG: V. Garg, Wireless Communications and Networking, 2007, examples 5.2, 5.3 and 5.5. Secondary: FOSSEE's
  'Textbook Companions', which give the examples with their results; read.
"""

from __future__ import annotations

from math import sqrt

import pytest

from audit.engineering.interference import (
    carrier_to_interference_at_db,
    interferer_distance_m,
    reuse_distance_m,
)


@pytest.mark.parametrize(
    ("cells", "exponent", "published_db"), [(7, 4, 18.66), (7, 3, 12.05), (12, 3, 15.56)]
)
def test_six_neighbours(cells: int, exponent: float, published_db: float) -> None:
    """REUSE: to two decimals."""
    ratio_db = carrier_to_interference_at_db(1, [sqrt(3 * cells)] * 6, exponent)
    assert ratio_db == pytest.approx(published_db, abs=0.006)


@pytest.mark.parametrize(
    ("interferers", "cells", "published_db"),
    [
        (6, 4, 13.8), (6, 7, 18.7), (6, 12, 23.3),
        (2, 4, 18.6), (2, 7, 23.4), (2, 12, 28.1),
        (1, 3, 19.1), (1, 4, 21.6),
    ],
)  # fmt: skip
def test_sectors(interferers: int, cells: int, published_db: float) -> None:
    """GARG 5.3 and 5.5: all round, and in sectors of 120° and of 60°; to one decimal."""
    ratio_db = carrier_to_interference_at_db(1, [sqrt(3 * cells)] * interferers, 4)
    assert ratio_db == pytest.approx(published_db, abs=0.051)


@pytest.mark.parametrize(("required_db", "published_cells"), [(18, 6.486), (12, 3.251)])
def test_reuse_factor(required_db: float, published_cells: float) -> None:
    """GARG 5.2: N = (D ÷ R)² ÷ 3 for a required ratio, exponent 4; to three decimals."""
    apart = interferer_distance_m(1, required_db, 4, interferers=6)
    assert apart**2 / 3 == pytest.approx(published_cells, abs=5e-4)
    assert reuse_distance_m(1, 0, required_db, 4, interferers=6) == apart

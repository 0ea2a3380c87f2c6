"""A volume that is too uncertain for what is asked of it: doses, salt, and the clocks of the fish."""

import numpy as np

from waterplan.hazards.limits import water_limit
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.spread import HIGH_PERCENT, LOW_PERCENT
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind

_PER_CENT = 100.0


def hazard(subject: Subject) -> Assessed:
    """Half of the band of the litres, as a share of the middle, against what a dose has room for."""
    litres = subject.state[Q.VOLUME]
    low, high = np.percentile(litres[1:] if litres.size > 1 else litres, [LOW_PERCENT, HIGH_PERCENT])
    spread = _PER_CENT * (high - low) / 2.0 / max(float(litres[0]), 1e-9)
    watch = water_limit("volume_spread", "watch")
    pond = subject.stay.ground.case.home_pond
    wanted = pond.wanted_within if pond is not None and subject.kind is WaterKind.HOME else None
    limit = _PER_CENT * watch.value if wanted is None else min(wanted.measured.best, _PER_CENT * watch.value)
    found = subject.water.found
    why = {
        "volume-guessed": found.guessed,
        "volume-ways-disagree": found.record.agree is False,
        "volume-own-demand": wanted is not None,
    }
    return Assessed(
        quantity=Q.VOLUME,
        which="spread",
        values=np.full(litres.size, spread),
        unit="%",
        limit=watch,
        limit_at=limit,
        passed=np.full(litres.size, spread <= limit and not found.guessed),
        quantities=(Q.VOLUME,),
        rows=(water_limit("volume_spread", "act").id,),
        why=tuple(Why(code=code) for code, holds in why.items() if holds),
        counts="errors of how the water was measured",
    )

"""word-order: the host shows what the device shows, without its two words having to be swapped.

A reading travels as an IEEE 754 binary32 number in two 16-bit registers; hosts differ in which of
them comes first. The host's number must have all its nine digits; seven do not determine the words.
"""

from __future__ import annotations

import struct

from audit.checks.context import Context, hit
from audit.checks.one_input import pairs_of
from audit.model.asked_of_values import WordOrder
from audit.model.finding import Outcome


def run(context: Context, args: WordOrder) -> Outcome:
    """Return a hit where device and host agree only if the words are swapped."""
    looked_at, hits = 0, []
    for b, block in context.blocks():
        for device, host in pairs_of(block.type.settings, ((args.device, args.host),)):
            shown, received = block.values("found", device.name), block.values("found", host.name)
            for i, (one, other) in enumerate(zip(shown, received, strict=True)):
                if one.number is None or other.number is None:
                    continue
                looked_at += 1
                step = float(device.display_step)
                wanted, got = float(one.number), float(other.number)
                turned = swapped_words(got)
                if abs(got - wanted) > step and turned is not None and abs(turned - wanted) <= step:
                    message = (
                        f"the host shows {other.shown}; with its two words swapped that is {turned:g}, "
                        "which the device shows"
                    )
                    hits.append(hit(block, b, i, [device, host], message))
    return Outcome(looked_at, hits)


def swapped_words(number: float) -> float | None:
    """Return a number with the two 16-bit words of its binary32 form swapped, None if it has none."""
    try:
        high, low = struct.unpack(">HH", struct.pack(">f", number))
    except OverflowError:
        return None
    (result,) = struct.unpack(">f", struct.pack(">HH", low, high))
    return float(result)

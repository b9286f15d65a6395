"""How much of its signal a path loses, by the plan's model of it."""

from __future__ import annotations

from audit.engineering.path_loss import free_space_db, log_distance_db, two_ray_db
from audit.figures.answers import Lacking
from audit.figures.surroundings import Device
from audit.model.radio import PathLoss


def path_loss(
    path: PathLoss | None, ends: tuple[Device, Device], distance_m: float, frequency_mhz: float
) -> tuple[float, str] | Lacking:
    """Return the loss between two devices in dB, with its model in words; or what is missing for it.

    Without a model of the plan it is that of free space, the least that it can be.
    """
    loss_db, how = free_space_db(distance_m, frequency_mhz), "free space"
    if path and path.exponent is not None:
        loss_db = _by_exponent_db(path.exponent, path.reference_m, distance_m, frequency_mhz)
        how = f"exponent {path.exponent:g}"
    if path and path.flat_ground_m is not None:
        one_m, other_m = (_above_m(path.flat_ground_m, end) for end in ends)
        if one_m is None or other_m is None:
            return Lacking("height_m above flat_ground_m for node and gateway", names_devices=True)
        loss_db = two_ray_db(distance_m, frequency_mhz, one_m, other_m)
        how = f"two rays, antennas {one_m:g} m and {other_m:g} m above flat ground"
    if path and path.obstacles_db:
        return loss_db + path.obstacles_db, f"{how}, obstacles {path.obstacles_db:g} dB"
    return loss_db, how


def _by_exponent_db(exponent: float, reference_m: float, distance_m: float, frequency_mhz: float) -> float:
    """Return the loss that grows by an exponent beyond a reference, up to which it is that of free space."""
    if distance_m < reference_m:
        return free_space_db(distance_m, frequency_mhz)
    at_reference = free_space_db(reference_m, frequency_mhz)
    return log_distance_db(distance_m, exponent=exponent, reference_m=reference_m, reference_db=at_reference)


def _above_m(ground_m: float, device: Device) -> float | None:
    """Return how high a device's antenna is above flat ground; None if that is not known, or not above it."""
    height_m = device.position.height_m if device.position else None
    return round(height_m - ground_m, 3) if height_m is not None and height_m > ground_m else None

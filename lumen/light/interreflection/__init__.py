"""Light between the surfaces of a room: patches, form factors, transport, near fields.

::

    Room --patches_of--> Patches --exchange_areas, balanced--> Transport  (once for a room)
    Transport.sensors(points, normals) --> Sensors                          (once for a plane)
    illuminance_map(Transport, Sensors, source) --> LightMap                (for each light)
"""

from lumen.light.interreflection.mesh import Patches, patches_of
from lumen.light.interreflection.transport import (
    Health,
    LightMap,
    Sensors,
    Transport,
    illuminance_map,
)

__all__ = [
    "Health",
    "LightMap",
    "Patches",
    "Sensors",
    "Transport",
    "illuminance_map",
    "patches_of",
]

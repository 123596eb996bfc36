"""Light between the surfaces of a room: patches, form factors, transport, near fields.

::

    Room --patches_of--> Patches --exchange_areas, scale_to_areas--> Transport  (once for a room)
    Transport.sensors(points, normals) --> Sensors                          (once for a plane)
    surface_light(Transport, source) --> SurfaceLight                       (for each light)
    SurfaceLight.bounced(Sensors) --> lx                          (for each light and plane)
"""

from lumen.light.interreflection.mesh import Patches, patches_of
from lumen.light.interreflection.surface_light import (
    PHOTOMETRIC,
    LightMap,
    SurfaceLight,
    illuminance_map,
    surface_light,
)
from lumen.light.interreflection.transport import Health, Sensors, Transport

__all__ = [
    "PHOTOMETRIC",
    "Health",
    "LightMap",
    "Patches",
    "Sensors",
    "SurfaceLight",
    "Transport",
    "illuminance_map",
    "patches_of",
    "surface_light",
]

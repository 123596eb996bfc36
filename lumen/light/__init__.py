"""Light on plain arrays: candela, lux, reflectance; knows no scenario and no screen."""

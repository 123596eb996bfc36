"""Power on plain numbers: volt, ampere, watt; knows no scenario and no screen."""

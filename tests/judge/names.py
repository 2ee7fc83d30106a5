"""Names of the judge: quantities, stages, and what a person chooses and does not measure."""

QUANTITIES = (
    "gross_head",
    "pipe_length",
    "pipe_bore",
    "pipe_roughness",
    "fittings_k",
    "source_flow",
    "left_in_stream",
    "water_temperature",
    "nozzle",
    "velocity_coefficient",
    "contraction",
    "pitch_diameter",
    "deflection",
    "cup_friction",
    "alignment",
    "bearing_drag",
    "windage",
    "phase_volts",
    "phase_resistance",
    "phase_inductance",
    "iron_drag",
    "diode_drop",
    "cable_length",
    "cable_area",
    "cable_temperature",
    "battery_volts",
)
FIRST = ("gross_head", "pipe_length", "pipe_bore")  # the three facts everybody has
STAGES = ("survey", "bench", "test day")
ORDERED = ("nozzle", "pitch_diameter", "phase_volts", "phase_resistance")  # what a maker is told in numbers
CHOICES = ("system_volts", "connection", "nozzle_make", "pole_pairs", "altitude", "latitude")

/* usual: what a plan means where it says nothing.
 * Written by `python -m lumen.app.usual` from the document's models; not by hand. */
export const usual = {
  "light": {
    "projection_m": 0.12,
    "drop_m": 0.0,
    "lamps": 1
  },
  "lamp": {
    "cct_k": 2700.0,
    "diameter_m": 0.06,
    "standby_w": 0.0
  },
  "aim": {
    "tilt_deg": 0.0,
    "turn_deg": 0.0
  },
  "strip": {
    "volts": 24,
    "cct_k": 2700.0,
    "leds_per_m": 120.0,
    "cut_m": 0.05,
    "width_m": 0.01,
    "loop_ohm_per_m": 0.2
  },
  "furniture": {
    "turn_deg": 0.0,
    "lean_deg": 0.0,
    "finish": {
      "lrv": 40.0
    }
  },
  "finish": {
    "lrv": 50.0
  },
  "opening": {
    "sill_m": 0.0,
    "head_m": 2.0
  },
  "person": {
    "eye_above_mattress_m": 0.68,
    "eye_from_head_end_m": 0.28,
    "lying_eye_above_mattress_m": 0.18,
    "lying_eye_from_head_end_m": 0.3,
    "standing_eye_m": 1.58
  },
  "page": {
    "distance_m": 0.4,
    "gaze_down_deg": 40.0,
    "width_m": 0.4,
    "height_m": 0.3
  },
  "outlet": {
    "holes": 2
  },
  "power strip": {
    "holes": 6
  },
  "adapter": {
    "holes": 2
  },
  "reads from": {
    "paper": {
      "width_m": 0.4,
      "height_m": 0.3
    },
    "e-paper": {
      "width_m": 0.105,
      "height_m": 0.14
    },
    "tablet": {
      "width_m": 0.155,
      "height_m": 0.207
    },
    "phone": {
      "width_m": 0.07,
      "height_m": 0.15
    }
  },
  "plug": {
    "depth_m": 0.06
  },
  "shade": {
    "shape": "drum",
    "top_share": {
      "drum": 1.0,
      "cone": 0.6,
      "globe": 1.0,
      "cylinder": 1.0,
      "head": 1.0
    },
    "lamp_share": 0.5
  }
};

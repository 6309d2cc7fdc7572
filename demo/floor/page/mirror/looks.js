// Small drawings of what can be seen at a point: cloth in chalk line, by the kind of fault. The words stand below each.

import { s } from "../dom.js";

const KINDS = {
  right: "M6,20 L15,29 L34,9",
  // creases that pull towards one spot
  pull: "M4,6 L18,18 M36,6 L22,18 M4,34 L18,22 M36,34 L22,22 M20,20 m-2,0 a2,2 0 1 0 4,0 a2,2 0 1 0 -4,0",
  level: "M4,14 L18,18 M36,14 L22,18 M3,20 L17,20 M37,20 L23,20 M4,26 L18,22 M36,26 L22,22",
  down: "M20,10 L8,34 M20,10 L20,36 M20,10 L32,34 M20,10 m-2,0 a2,2 0 1 0 4,0 a2,2 0 1 0 -4,0",
  up: "M20,30 L8,6 M20,30 L20,4 M20,30 L32,6 M20,30 m-2,0 a2,2 0 1 0 4,0 a2,2 0 1 0 -4,0",
  // cloth that hangs in folds down, or lies in folds across
  folds: "M8,5 C14,14 2,22 8,35 M20,5 C26,14 14,22 20,35 M32,5 C38,14 26,22 32,35",
  rolls: "M4,12 C14,4 26,20 36,12 M4,20 C14,12 26,28 36,20 M4,28 C14,20 26,36 36,28",
  // bound tight: lines that press inwards
  tight: "M4,8 C16,12 16,28 4,32 M36,8 C24,12 24,28 36,32 M10,20 L16,20 M30,20 L24,20",
  gap: "M14,5 C6,14 6,26 14,35 M26,5 L26,35 M17,20 L23,20",
  bow: "M10,4 C30,10 30,30 10,36 M10,4 L10,36",
  high: "M4,30 L36,30 M20,25 L20,8 M20,8 L14,15 M20,8 L26,15",
  low: "M4,10 L36,10 M20,15 L20,32 M20,32 L14,25 M20,32 L26,25",
  drag: "M20,6 L6,30 M20,6 L12,34 M20,6 L28,34 M20,6 L34,30",
  smile: "M5,12 C12,26 28,26 35,12 M8,22 C14,32 26,32 32,22",
  flare: "M16,5 L10,35 M24,5 L30,35 M10,35 L30,35",
  cross: "M12,5 L24,35 M28,5 L16,35",
  dent: "M5,12 C15,12 14,24 20,24 C26,24 25,12 35,12",
  twist: "M14,4 C28,12 12,28 26,36 M22,4 C36,12 20,28 34,36",
  slope: "M4,10 L36,26 M4,10 L4,34 M36,26 L36,34",
  drop: "M4,10 L20,10 M20,10 L20,30 M20,30 L36,30",
};

const OF = {
  right: "right", three_fingers: "right", flat: "right", pulls: "pull", buttons_pull: "pull", strains: "level", rays_level: "level", rays_down: "down", rays_up: "up",
  binds: "tight", binds_at_fork: "tight", band_cuts: "tight", cuts_in: "tight", tight: "tight", creases: "tight", catches: "tight", creases_round_arm: "tight",
  hangs_in_folds: "folds", folds: "folds", fork_hangs: "low", loose: "folds", boxy: "folds", baggy: "folds", flaps: "folds", sides_bellow: "folds", folds_behind: "twist",
  folds_in_front: "twist", body_lifts: "high", drops: "low", rolls: "rolls", folds_front_and_back: "rolls", front_piles: "rolls", points_hang_low: "low",
  gapes: "gap", gape: "flare", flare: "flare", pulled_open: "flare", stands_clear: "gap", bows_away: "bow", bows_low: "bow", too_high: "high", too_low: "low",
  short: "high", covered: "low", shirt_shows: "high", above_half: "high", below_half: "low", seat_shows: "high", hem_down_thigh: "low", above_thumb_tip: "high",
  below_thumb_tip: "low", wrist_bone_shows: "high", covers_thumb_root: "low", covers_hand: "low", no_linen: "low", too_much_linen: "high", no_break: "high",
  sock_shows: "high", walks_on_hem: "low", short_all_over: "high", long_all_over: "low", drag_lines: "drag", smiles_behind: "smile", smiles_under_seat: "smile",
  whiskers_in_front: "drag", dents: "dent", collapses: "dent", cross: "cross", twists_in: "twist", twists_out: "twist", front_kicks_up: "slope", front_drops: "slope",
  slopes: "slope", lower: "drop", breaks_more: "drop", waist_fuller: "flare", waist_slimmer: "cross",
};

export const lookDrawing = (seen, verdict) =>
  s("svg", { viewBox: "0 0 40 40", class: "look-drawing", "aria-hidden": "true" }, s("path", { d: KINDS[OF[seen]] ?? KINDS[{ too_much: "folds", too_little: "pull" }[verdict] ?? "right"] }));

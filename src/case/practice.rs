//! Values that a plan takes where a case says nothing: common practice, no source. They are
//! ours, chosen from what is usual so that together they give what crews report: a resin bolt with
//! screen in about four minutes, a hole of up to 2.5 m in a minute or less, about 20 s from the end of
//! spinning to tightening, 60 resin bolts with screen or over 100 friction bolts in eight hours at
//! half utilisation, openings 5 m wide and up to 6.5 m high from one set-up. None of them enters a
//! factor of safety.

/// What outputs say beside each of them.
pub const COMMON_PRACTICE: &str = "common practice, no source";

/// Hours of a shift.
pub const SHIFT_H: f64 = 8.0;
/// Share of the shift spent on the work itself.
pub const UTILISATION: f64 = 0.5;
/// Width that one set-up covers, metres.
pub const REACH_WIDTH_M: f64 = 5.0;
/// Height that one set-up covers, metres.
pub const REACH_HEIGHT_M: f64 = 6.5;
/// Rings that one set-up covers.
pub const RINGS_A_SET_UP: f64 = 1.0;
/// Metres a minute in bolt holes.
pub const DRILL_M_PER_MIN: f64 = 2.5;
/// Metres a minute in long holes.
pub const LONG_HOLE_M_PER_MIN: f64 = 1.0;
/// Minutes a sheet of screen.
pub const SCREEN_UP_MIN: f64 = 4.0;
/// Minutes a hole.
pub const FLUSH_MIN: f64 = 0.25;
/// Minutes a hole.
pub const CHARGE_MIN: f64 = 0.5;
/// Minutes a bolt.
pub const SPIN_MIN: f64 = 0.15;
/// Seconds a bolt.
pub const SET_S: f64 = 20.0;
/// Minutes a bolt.
pub const TIGHTEN_MIN: f64 = 0.2;
/// Minutes a friction bolt.
pub const DRIVE_IN_MIN: f64 = 0.4;
/// Minutes a metre of cable.
pub const GROUT_MIN_PER_M: f64 = 0.5;
/// Minutes a collar.
pub const MOVE_COLLAR_MIN: f64 = 0.4;
/// Minutes a set-up.
pub const MOVE_SET_UP_MIN: f64 = 3.0;
/// Size of a sheet of screen along the perimeter, metres.
pub const SCREEN_ACROSS_M: f64 = 3.0;
/// Size of a sheet of screen along the drive, metres.
pub const SCREEN_ALONG_M: f64 = 2.4;
/// Overlap of sheets, metres.
pub const SCREEN_OVERLAP_M: f64 = 0.3;
/// Screen beyond the outermost collars, metres.
pub const SCREEN_BEYOND_M: f64 = 0.2;
/// Length of a cartridge, metres.
pub const CARTRIDGE_M: f64 = 0.5;
/// Length of hole that fast resin fills, metres.
pub const FAST_LENGTH_M: f64 = 0.5;
/// Cartridges and grout lost, percent.
pub const WASTE_PERCENT: f64 = 10.0;
/// Cable holes are drilled up to this length, metres; beyond it the plan warns.
pub const LONGEST_CABLE_HOLE_M: f64 = 15.0;

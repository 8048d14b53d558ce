//! Does the bolt pattern hold the back?
//!
//! Backhold finds the rock wedges that joints can release into a mine drive, weighs them, and
//! says by how much the ground support holds them, wedge by wedge and ring by ring.
//!
//! # Flow
//!
//! A [`case::Case`] is one drive with its joints, limits, support and criteria, as plain data.
//! [`study::check`] takes it and returns every removable wedge with its weight, its mode, and its
//! factor of safety bare and bolted, each at its worst placement between the bolts. Files and
//! words are made from that by [`report`], and the command line in [`cli`] does nothing but that.
//!
//! ```
//! use backhold::case::parse_case;
//! use backhold::study::{Verdict, check};
//!
//! // A library user builds a `Case` in code or reads one from text; no files are needed.
//! let read = parse_case(backhold::case::TEMPLATE, "template", &|_| unreachable!())?;
//! let checked = check(&read.case)?;
//! let back: Vec<_> = checked.wedges.iter().filter(|w| w.id.ends_with(".111")).collect();
//! assert_eq!(back.len(), 1);
//! assert_eq!(back[0].stability.motion.mode.name(), "falling");
//! assert_eq!(back[0].fs_bare, 0.0);
//! assert_ne!(back[0].verdict, Verdict::NotJudged);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Frame and units
//!
//! x east, y north, z up, right-handed; one north for everything in a case. Metres, kN, kPa,
//! kN/m³, degrees at every boundary; radians only inside. A section is drawn looking along the
//! advance: u to the right, v up, origin at the middle of the floor; s is the chainage along the
//! axis. Left and right wall are as seen by somebody walking the advance.
//!
//! # Rooms
//!
//! A room knows only the rooms above it: [`numeric`], [`input`], [`orientation`], [`opening`],
//! [`wedge`], [`strength`], [`stability`], [`support`], [`survey`], [`case`], [`study`], [`report`],
//! [`cli`].
//!
//! # Caution
//!
//! Rigid blocks and plane joints that run on are assumed. Results need the judgement of a
//! competent person; ground is examined and scaled on site; mine standards, local codes and
//! licensed practice come first. No factor of safety guarantees that rock stays up.

pub mod case;
pub mod cli;
pub mod input;
pub mod numeric;
pub mod opening;
pub mod orientation;
pub mod report;
pub mod stability;
pub mod strength;
pub mod study;
pub mod support;
pub mod survey;
pub mod wedge;

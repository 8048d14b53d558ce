//! Does the bolt pattern hold the back?
//!
//! Backhold finds the rock wedges that joints can release into a mine drive, weighs them, and
//! says by how much the ground support holds them, wedge by wedge and ring by ring.
//!
//! # Flow
//!
//! A [`Case`] is one drive with its joints, limits, support and criteria, as plain data. [`check`]
//! takes it and returns every removable wedge with its weight, its mode, its factors of safety bare
//! and bolted, each at its worst placement between the bolts, and the verdict that sizes, moments and
//! collars off their place leave: the program's own answer. Files and words are made from that by
//! [`report`], and the command line in [`cli`] does nothing but that.
//!
//! ```
//! # #[cfg(not(feature = "files"))]
//! # fn main() {}
//! # #[cfg(feature = "files")]
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! use backhold::case::{TEMPLATE, parse_case};
//! use backhold::{Verdict, check};
//!
//! // A library user builds a `Case` in code or reads one from text; no files are needed.
//! let read = parse_case(TEMPLATE, "template", &|_| unreachable!())?;
//! let whole = check(&read.case)?;
//! let back: Vec<_> = whole.check.wedges.iter().filter(|w| w.wedge.id.ends_with(".111")).collect();
//! assert_eq!(back.len(), 1);
//! assert_eq!(back[0].wedge.stability.motion.mode.name(), "falling");
//! assert_eq!(back[0].found.fs_bare, 0.0);
//! // Its largest wedge would be held: a smaller one that fewer bolts meet decides.
//! assert!(back[0].decided.fs <= back[0].found.fs_bolted);
//! assert_ne!(back[0].decided.verdict, Verdict::NotJudged);
//! # Ok(())
//! # }
//! ```
//!
//! [`guide`] leads from a mapper's sheet to an approved pattern and holds the theory. The folder `examples` has a check of a file, a drive typed in code, a sweep of spacings, and a
//! survey. Of the many other calls the rooms tell: [`study`] for what is asked of a case,
//! [`survey`] for a mapper's readings.
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
//! [`stress`], [`wedge`], [`strength`], [`stability`], [`support`], [`survey`], [`case`], [`study`], [`report`],
//! [`cli`].
//!
//! # Features
//!
//! Each brings the ones above it in; the default is all of them.
//!
//! | feature | what it adds |
//! |---|---|
//! | none | the rooms from [`orientation`] to [`support`], [`survey`], [`case`] as plain values, [`study`] |
//! | `files` | cases and what lies beside them read from text and files, the JSON Schema of the case file |
//! | `report` | [`report`]: tables, summary, drawings, pages |
//! | `cli` | [`cli`], and the program |
//!
//! All but `cli` builds for `wasm32-unknown-unknown` too.
//!
//! # Caution
//!
//! Rigid blocks and plane joints that run on are assumed. Results need the judgement of a
//! competent person; ground is examined and scaled on site; mine standards, local codes and
//! licensed practice come first. No factor of safety guarantees that rock stays up.

pub mod case;
#[cfg(feature = "cli")]
pub mod cli;
pub mod guide;
// Tables and words that only files beside a case need stay in their room.
#[cfg_attr(not(feature = "files"), allow(dead_code, unused_imports))]
pub mod input;
pub mod numeric;
pub mod opening;
pub mod orientation;
#[cfg(feature = "report")]
pub mod report;
pub mod stability;
pub mod strength;
pub mod stress;
pub mod study;
pub mod support;
pub mod survey;
pub mod wedge;

#[cfg(feature = "files")]
pub use case::read_case;
pub use case::{Case, Criteria, Joint};
pub use opening::SectionShape;
pub use orientation::{Line, Plane};
pub use strength::MohrCoulomb;
pub use study::{CheckError, CheckedWedge, Verdict, Whole, check};
pub use support::{Bolt, BoltKind, Pattern};

//! What the case gave, said again.

pub mod echo;
pub mod hung;
pub mod page;
pub mod scan;

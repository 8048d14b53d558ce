//! What the case gave, said again.

pub(super) mod echo;
pub(super) mod hung;
pub(super) mod page;
pub(super) mod scan;

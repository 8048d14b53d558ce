//! The drive with its wedges and bolts in space, to be turned on the page: what `paper/page/view.js` draws. It
//! shows what the studies found, at the sizes and places at which they found it, and nothing between.

mod data;
mod sizes;

use super::outputs::Outputs;
use crate::report::paper::html::Html;

/// The part of the page; nothing where there is no wedge. It comes to life with scripts alone, and is not seen
/// without.
pub(super) fn section(body: &mut Html, outputs: &Outputs<'_>) {
    if outputs.whole.check.wedges.is_empty() && outputs.whole.check.face.is_empty() {
        return;
    }
    body.view(&data::data(outputs));
}

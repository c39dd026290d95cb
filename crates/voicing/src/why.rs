//! (being written)
pub(crate) fn explain(_part: &mut crate::Part) {}

//! show.
